import { documents, on } from "../api/api";
import type { Id, SummaryQuery, TableForm } from "../api/domain";
import type { App } from "../shared/app.svelte";

/** What a film shows; 0 is as usual: 20 marks or 5 stretches, 1.5 s before, 1 s after, 4 times slower. */
export interface FilmChoice {
  good: boolean;
  /** Of marks: this one; "" for every. */
  fault: Id;
  most: number;
  lead: number;
  follow: number;
  slow: number;
  /** The part round the player in place of the whole picture. */
  cut_out: boolean;
}

/** What is being written beside the summary itself: tables and films. */
export class ExportState {
  semicolon = $state(false);
  silent = $state(false);
  /** With the coach's notes on a family's page. */
  notes = $state(false);
  /** Pages for families on their way, and how many of them are done; null while none are. */
  pages = $state.raw<{ done: number; total: number } | null>(null);
  /** The address of the page that is looked at, "" for none. */
  preview = $state("");
  /** Whether a film is asked for, whether it is being made already, and how far it is. */
  filming = $state(false);
  making = $state(false);
  done = $state(0);
  total = $state(0);
  #stopped = false;

  constructor(private readonly app: App) {}

  listen(): () => void {
    return on("progress", (p) => {
      if (p.job === "family" && this.pages) this.pages = p;
      if (p.job !== "reel" || !this.filming) return;
      if (!this.making) this.app.notify("The film is being made…");
      [this.making, this.done, this.total] = [true, p.done, p.total];
    });
  }

  async table(query: SummaryQuery, which: TableForm["which"]): Promise<void> {
    await this.app.attempt(async () => {
      const path = await documents.table(query, { which, semicolon: this.semicolon, no_mark: false });
      this.app.wrote(path);
    });
  }

  /** Writes a page for each player's family, or for the one that is chosen. */
  async families(query: SummaryQuery): Promise<void> {
    this.pages = { done: 0, total: 0 };
    await this.app.attempt(async () => {
      const { players, from, to, names, unconsented = false } = query;
      const done = await documents.families({ players, from, to, names, unconsented, notes: this.notes });
      const many = players.length === 1 ? "" : `, ${done.pages === 1 ? "one page" : `${done.pages} pages`}`;
      this.app.wrote(done.folder, `${many}. ${done.say}`);
    });
    this.pages = null;
  }

  /** Shows a page as it would be printed. */
  async look(query: SummaryQuery, family: boolean): Promise<void> {
    await this.app.attempt(async () => {
      this.preview = await documents.preview(query, family, this.notes);
    });
  }

  /** Makes a player's film. */
  async film(query: SummaryQuery, choice: FilmChoice): Promise<void> {
    this.filming = true;
    [this.done, this.total, this.#stopped] = [0, 0, false];
    this.app.notify("Choose where the film shall go; then it is made.");
    const made = await this.app.attempt(async () => {
      const player = query.players[0] ?? "";
      const made = await documents.reel({
        ...choice,
        player,
        from: query.from,
        to: query.to,
        names: query.names,
        silent: this.silent,
        unconsented: query.unconsented ?? false,
      });
      this.app.wrote(made.path, `, ${made.pieces === 1 ? "one moment" : `${made.pieces} moments`}. ${made.say}`);
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
