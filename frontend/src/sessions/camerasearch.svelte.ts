import { cameras, on } from "../api/api";
import type { CamerasFound, SessionRow } from "../api/domain";
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
  /** Why it failed, "" where it did not. */
  trouble = $state("");

  constructor(
    private readonly app: App,
    private readonly kept: () => Promise<void>,
  ) {}

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
      () => `Saved: ${isolated(pair.name)} and ${isolated(pair.on_name)} are lined up. Ctrl+Z takes it back.`,
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
