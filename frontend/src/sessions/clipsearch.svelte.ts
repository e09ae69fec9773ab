import { sessions } from "../api/api";
import type { SessionRow } from "../api/domain";
import { finds } from "../shared/alike";
import type { App } from "../shared/app.svelte";
import { dayInWords } from "../shared/days";

/** Clips by their titles, players, day and note, of all sessions. */
export class ClipSearch {
  text = $state("");
  /** All sessions, null while they are not read. */
  #all = $state.raw<SessionRow[] | null>(null);

  readonly on = $derived(this.text.trim() !== "");
  /** Sessions with the clips that are found; null while nothing is searched or they are being read. */
  readonly rows = $derived.by<SessionRow[] | null>(() => {
    if (!this.on || !this.#all) return null;
    return this.#all
      .map((s) => ({
        ...s,
        clips: s.clips.filter((c) =>
          finds(this.text, `${c.name} ${this.#players(c.players)} ${s.date} ${dayInWords(s.date)} ${s.note ?? ""}`),
        ),
      }))
      .filter((s) => s.clips.length > 0);
  });

  constructor(private readonly app: App) {}

  #players(ids: readonly string[]): string {
    return ids.map((id) => this.app.playerOf.get(id)?.name ?? "").join(" ");
  }

  async type(text: string): Promise<void> {
    this.text = text;
    if (this.on && !this.#all) await this.read();
  }

  /** Reads all sessions anew; while nothing is searched, at the next search. */
  async read(): Promise<void> {
    this.#all = null;
    if (!this.on) return;
    await this.app.attempt(async () => {
      this.#all = (await sessions.list({ up_to: "", count: 0, clip: "" })).sessions;
    });
  }
}
