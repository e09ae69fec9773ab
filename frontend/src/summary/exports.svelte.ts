import { documents, on } from "../api/api";
import type { ReelQuery, SummaryQuery, TableForm } from "../api/domain";
import type { App } from "../shared/app.svelte";

const FILM: ReelQuery = {
  player: "",
  fault: "",
  good: false,
  from: "",
  to: "",
  names: false,
  silent: false,
  unconsented: false,
  most: 0,
  lead: 0,
  follow: 0,
  slow: 0,
};

/** What is being written beside the summary itself: tables and films. */
export class ExportState {
  semicolon = $state(false);
  silent = $state(false);
  /** Whether a film is asked for, whether it is being made already, and how far it is. */
  filming = $state(false);
  making = $state(false);
  done = $state(0);
  total = $state(0);
  #stopped = false;

  constructor(private readonly app: App) {}

  listen(): () => void {
    return on("progress", (p) => {
      if (p.job !== "reel" || !this.filming) return;
      if (!this.making) this.app.notify("The film is being made…");
      [this.making, this.done, this.total] = [true, p.done, p.total];
    });
  }

  async table(query: SummaryQuery, which: TableForm["which"]): Promise<void> {
    await this.app.attempt(async () => {
      const path = await documents.table(query, { which, semicolon: this.semicolon, no_mark: false });
      this.app.notify(path === "" ? "Nothing was written." : `Written: ${path}`);
    });
  }

  /** Makes a player's film of marks, or of good strokes. */
  async film(query: SummaryQuery, good: boolean): Promise<void> {
    this.filming = true;
    [this.done, this.total, this.#stopped] = [0, 0, false];
    this.app.notify("Choose where the film shall go; then it is made.");
    const made = await this.app.attempt(async () => {
      const player = query.players[0] ?? "";
      const made = await documents.reel({
        ...FILM,
        player,
        good,
        from: query.from,
        to: query.to,
        names: query.names,
        silent: this.silent,
        unconsented: query.unconsented ?? false,
      });
      this.app.notify(
        made.path === ""
          ? "Nothing was written."
          : `Written: ${made.path}, ${made.pieces === 1 ? "one moment" : `${made.pieces} moments`}. ${made.say}`,
      );
    });
    if (!made && this.#stopped) this.app.notify("Stopped: the film was not written.");
    this.filming = this.making = false;
  }

  async stop(): Promise<void> {
    this.#stopped = true;
    await this.app.attempt(async () => {
      await documents.stopReel();
    });
  }
}
