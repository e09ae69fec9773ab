import { on, onFileDrop, sessions, type AppError } from "../api";
import type { AddResult, Alike, ClipRow, SessionRow } from "../domain";
import type { App } from "./app.svelte";
import { today } from "./days";

/** How the adding of one file went. */
export interface Added extends AddResult {
  word: "not added" | "there already" | "added";
}

const WORDS: readonly Added["word"][] = ["not added", "there already", "added"];

/** Results with what needs the coach first; `known` are the clips that were there before. */
export function sorted(results: readonly AddResult[], known: ReadonlySet<string>): Added[] {
  const said = results.map((r): Added => ({ ...r, word: r.clip_id === "" ? "not added" : known.has(r.clip_id) ? "there already" : "added" }));
  return said.toSorted((a, b) => WORDS.indexOf(a.word) - WORDS.indexOf(b.word));
}

/** "9 added, 4 not added". */
export function tallied(results: readonly Added[]): string {
  const parts = WORDS.toReversed().map((word) => ({ word, n: results.filter((r) => r.word === word).length }));
  return parts.filter((p) => p.n > 0).map((p) => `${p.n} ${p.word}`).join(", ");
}

/** Clips that are about to be added, and how that went. */
export interface Adding {
  paths: string[];
  date: string;
  dateWrong: string;
  running: boolean;
  results: Added[] | null;
}

interface Progress {
  done: number;
  total: number;
  label: string;
}

/** The sessions of the library and the adding of clips to them. */
export class SessionsState {
  rows = $state.raw<SessionRow[]>([]);
  loaded = $state(false);
  /** Why they could not be read, "" where they were. */
  trouble = $state("");
  adding = $state<Adding | null>(null);
  progress = $state.raw<Progress | null>(null);
  /** A file that may be taken for a clip's own: the coach is asked. */
  asked = $state.raw<{ clip: ClipRow; alike: Alike } | null>(null);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    const ok = await this.app.attempt(async () => {
      this.rows = await sessions.list();
    });
    this.trouble = ok ? "" : this.app.said.text;
    this.loaded = true;
  }

  listen(): () => void {
    const stops = [
      this.app.onChange(() => void this.load()),
      on("progress", (p) => {
        if (p.job === "add" && this.adding?.running) this.progress = p;
      }),
      onFileDrop((paths) => this.drop(paths)),
    ];
    return () => stops.forEach((stop) => stop());
  }

  begin(paths: string[] = []): void {
    this.adding = { paths, date: this.adding?.date ?? today(), dateWrong: "", running: false, results: null };
  }

  drop(paths: string[]): void {
    if (paths.length === 0 || this.adding?.running) return;
    const have = this.adding && !this.adding.results ? this.adding.paths : [];
    this.begin([...have, ...paths.filter((p) => !have.includes(p))]);
  }

  async pick(): Promise<void> {
    await this.app.attempt(async () => this.drop(await sessions.pick()));
  }

  leaveOut(path: string): void {
    if (this.adding) this.adding.paths = this.adding.paths.filter((p) => p !== path);
  }

  async add(): Promise<void> {
    const a = this.adding;
    if (!a || a.running || a.paths.length === 0) return;
    a.running = true;
    a.dateWrong = "";
    this.progress = { done: 0, total: a.paths.length, label: "" };
    const known = new Set(this.rows.flatMap((s) => s.clips.map((c) => c.id)));
    await this.app.write(
      () => sessions.add(a.date, [...a.paths]),
      (results) => {
        a.results = sorted(results, known);
        return `Session of ${a.date}: ${tallied(a.results)}.`;
      },
      {
        failed: (error) => {
          if (error.field === "date") a.dateWrong = error.sentence;
          else this.app.tell(error.sentence, true);
        },
      },
    );
    a.running = false;
    this.progress = null;
    await this.load();
  }

  async relink(clip: ClipRow): Promise<void> {
    await this.app.write(
      () => sessions.relink(clip.id),
      (r) => {
        if (r.alike) {
          this.asked = { clip, alike: r.alike };
          return `${r.alike.name} is another file than ${clip.name}.`;
        }
        return r.clip.missing ? `${clip.name} is still missing.` : `${clip.name} is found again.`;
      },
      { waiting: `Looking for ${clip.name}, or choose the file that it is now…` },
    );
    await this.load();
  }

  /** Takes the file that was asked about. */
  async adopt(): Promise<void> {
    const a = this.asked;
    this.asked = null;
    if (!a) return;
    await this.app.write(
      () => sessions.adopt(a.clip.id, a.alike.path),
      () => `${a.alike.name} is taken for ${a.clip.name}. Ctrl+Z takes it back.`,
    );
    await this.load();
  }

  async remove(clip: ClipRow): Promise<void> {
    await this.app.write(
      () => sessions.removeClip(clip.id),
      () => `${clip.name} is taken out of the library; the file itself stays. Ctrl+Z brings it back.`,
    );
    await this.load();
  }

  /** Saves date and note of a session; throws AppError for its form. */
  async save(row: { id: string; date: string; note: string }): Promise<void> {
    const wrong: AppError[] = [];
    await this.app.write(
      () => sessions.save(row),
      () => `Saved: session of ${row.date}.`,
      {
        failed: (error) => {
          wrong.push(error);
        },
      },
    );
    if (wrong[0]) throw wrong[0];
    await this.load();
  }
}
