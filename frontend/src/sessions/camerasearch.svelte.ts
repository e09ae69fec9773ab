import { cameras, on } from "../api/api";
import type { CamerasFound, Id, SessionRow } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { isolated } from "../shared/isolate";

/** Looking for clips of a session that show the same minutes. */
export class CameraSearch {
  /** The session that is looked at; null: none. */
  session = $state.raw<SessionRow | null>(null);
  running = $state(false);
  done = $state(0);
  all = $state(0);
  found = $state.raw<readonly CamerasFound[]>([]);
  /** By session, what was found among the clips that were listened to. */
  proposed = $state.raw<ReadonlyMap<Id, readonly CamerasFound[]>>(new Map());
  /** Why it failed, "" where it did not. */
  trouble = $state("");

  constructor(
    private readonly app: App,
    private readonly kept: () => Promise<void>,
  ) {}

  #proposing = 0;

  /** Looks, one session after the other, whether clips that were listened to show the same minutes. Never fails: what is not proposed can be looked for. */
  async propose(sessions: readonly SessionRow[]): Promise<void> {
    const mine = ++this.#proposing;
    const found = new Map<Id, readonly CamerasFound[]>();
    for (const s of sessions.filter((s) => s.clips.length > 1)) {
      const list = await cameras.proposed(s.id).catch(() => []);
      if (mine !== this.#proposing) return;
      if (list.length > 0) found.set(s.id, list);
    }
    this.proposed = found;
  }

  /** Shows what is proposed for a session. */
  show(session: SessionRow): void {
    this.session = session;
    this.trouble = "";
    this.found = this.proposed.get(session.id) ?? [];
  }

  async look(session: SessionRow): Promise<void> {
    this.session = session;
    this.running = true;
    this.done = this.all = 0;
    this.found = [];
    this.trouble = "";
    const ok = await this.app.attempt(async () => {
      await cameras.recognise(session.id);
    });
    if (!ok) this.session = null;
  }

  /** Follows the program's news; returns how to stop. */
  follow(): () => void {
    return on("cameras", (e) => {
      if (e.session_id !== this.session?.id || e.stopped) return;
      if (!e.ended) {
        this.done = e.done;
        this.all = e.all;
        return;
      }
      this.running = false;
      this.found = e.found;
      this.trouble = e.say;
    });
  }

  /** Lines up two clips. */
  async keep(pair: CamerasFound): Promise<void> {
    const kept = await this.app.write(
      () => cameras.keep(pair.clip_id, pair.on_id),
      () => `Saved: ${isolated(pair.name)} and ${isolated(pair.on_name)} are lined up. ${this.app.keymap.cap("undo")} takes it back.`,
    );
    if (!kept) return;
    this.found = this.found.filter((f) => f !== pair);
    if (this.found.length === 0) this.session = null;
    await this.kept();
  }

  close(): void {
    if (this.running) void cameras.stop().catch(() => undefined); // it ends by itself too
    this.running = false;
    this.session = null;
  }
}
