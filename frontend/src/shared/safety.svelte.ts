import { safety } from "../api/api";
import type { Findings, Kept, SafetyStatus } from "../api/domain";
import type { App, ScreenName } from "./app.svelte";
import { dayInWords } from "./days";
import { counted } from "./timeline";

const WHY: Record<Kept["kind"], string> = {
  daily: "made on each day of use",
  "before-restore": "before going back to another backup",
  version: "before a newer version changed the library",
};

/** "3 May 2026, 14:02: made on each day of use". */
export const keptWords = (k: Kept): string => `${momentWords(k)}: ${WHY[k.kind]}`;

/** "3 May 2026, 14:02". */
const momentWords = (k: Kept): string => `${dayInWords(k.day)}, ${k.clock}`;

/** "0.4 MB"; what is less is "0.1 MB". */
export const sizeWords = (bytes: number): string => `${Math.max(0.1, bytes / 1e6).toFixed(1)} MB`;

/** Backups of the library, the check for damage, and the repair. */
export class Safety {
  status = $state.raw<SafetyStatus | null>(null);
  /** What the check found, null before one. */
  found = $state.raw<Findings | null>(null);
  /** What a repair could not keep, null before one. */
  lost = $state.raw<string[] | null>(null);
  /** The backup that the coach is asked to restore, null for none. */
  asked = $state.raw<{ path: string; name: string } | null>(null);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    await this.app.attempt(async () => {
      this.status = await safety.status();
    });
  }

  async backUp(): Promise<void> {
    await this.app.write(safety.backUp, (path) => (path === "" ? "No file was chosen: nothing was written." : `Backed up to ${path}.`), {
      waiting: "Choose where…",
    });
  }

  async check(): Promise<void> {
    this.lost = null;
    this.found = null;
    const found = await this.app.write(
      safety.check,
      (f) => {
        const n = f.ledger.length + f.files.length;
        return n === 0 ? "The library is sound, and every clip is in its place." : `${counted(n, "thing")} to look at.`;
      },
      { waiting: "Looking through the library and for every clip…" },
    );
    this.found = found ?? null;
  }

  ask(k: Kept): void {
    this.asked = { path: k.path, name: `the backup of ${momentWords(k)}` };
  }

  async askForFile(): Promise<void> {
    await this.app.attempt(async () => {
      const path = await safety.pickBackup();
      if (path !== "") this.asked = { path, name: path };
    });
  }

  /** Puts the backup that was asked about in the ledger's place. */
  async restore(): Promise<void> {
    const asked = this.asked;
    if (!asked) return;
    this.asked = null;
    const before = this.status?.damaged
      ? "The damaged ledger is set aside in the folder backups."
      : "What it was until now is kept as a backup.";
    await this.#mend(
      () => safety.restore(asked.path),
      () => `The library is what it was in ${asked.name}. ${before}`,
      "Going back…",
      "sessions",
    );
  }

  async repair(): Promise<void> {
    const lost = await this.#mend(
      safety.repair,
      (all) =>
        `Repaired: ${all.length === 0 ? "everything could be kept" : `${counted(all.length, "thing")} could not be kept whole`}. The damaged ledger is set aside in the folder backups.`,
      "Keeping what can be kept…",
      "club", // where it is told what could not
    );
    this.lost = lost ?? null;
  }

  /** Restores or repairs: the program closes the library and opens it again, also after an error. Shows this screen, or `then` where no library was open. */
  async #mend<T>(work: () => Promise<T>, done: (result: T) => string, waiting: string, then: ScreenName): Promise<T | undefined> {
    this.found = this.lost = null;
    this.app.clubTab = "library";
    const enter = () => this.app.enter(this.app.open ? this.app.screen : then);
    const result = await this.app.write(work, done, { waiting, reread: enter });
    if (result === undefined) await enter().catch(() => {});
    await this.load();
    return result;
  }
}
