import { on, onFileDrop, sessions, type AppError } from "../api/api";
import type { AddResult, Alike, Day, Id, ListedClip, LookedBy, SessionPage, SessionRow } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { dayBefore, recordingDay, today } from "../shared/days";
import { isolated } from "../shared/isolate";
import { CameraSearch } from "./camerasearch.svelte";
import { counted } from "../shared/timeline";
import { ClipSearch } from "./clipsearch.svelte";
import { ToDo } from "./todo.svelte";
import { ClipFiles } from "../shared/clipfiles.svelte";

/** How the adding of one file went. */
export interface Added extends AddResult {
  word: "not added" | "there already" | "added";
}

const WORDS: readonly Added["word"][] = ["not added", "there already", "added"];

/** Results with what needs the coach first. The program has a word to say on each file that it knew. */
export function sorted(results: readonly AddResult[]): Added[] {
  const said = results.map((r): Added => ({ ...r, word: r.clip_id === "" ? "not added" : r.say !== "" ? "there already" : "added" }));
  return said.toSorted((a, b) => WORDS.indexOf(a.word) - WORDS.indexOf(b.word));
}

/** "9 added, 4 not added". */
export function tallied(results: readonly Added[]): string {
  const parts = WORDS.toReversed().map((word) => ({ word, n: results.filter((r) => r.word === word).length }));
  return parts
    .filter((p) => p.n > 0)
    .map((p) => `${p.n} ${p.word}`)
    .join(", ");
}

/** Clips that are about to be added, and how that went. */
export interface Adding {
  paths: string[];
  /** What the coach wrote for the day, null for nothing. */
  written: string | null;
  /** The day where neither the coach nor a film says one. */
  otherwise: Day;
  /** On which day each film was recorded, by path; "" where nobody knows. */
  recorded: Readonly<Record<string, Day>>;
  /** Each film goes to the session of the day on which it was recorded. */
  each: boolean;
  /** So many times that is being asked for. */
  asking: number;
  dateWrong: string;
  running: boolean;
  results: Added[] | null;
}

interface Progress {
  done: number;
  total: number;
  label: string;
}

/** So many sessions are read at a time. */
export const PAGE = 20;

/** The sessions of the library, the latest first and earlier ones as they are asked for, and the adding of clips to them. */
export class SessionsState {
  rows = $state.raw<SessionRow[]>([]);
  /** Who has looked through how much of the clips of these rows. */
  looked = $state.raw<LookedBy[]>([]);
  loaded = $state(false);
  /** Why they could not be read, "" where they were. */
  trouble = $state("");
  /** The last day that is shown, "" for the last there is. */
  upTo = $state<Day>("");
  /** Sessions before those that are read, and in all. */
  earlier = $state(0);
  total = $state(0);
  /** Of the earliest of all. */
  first = $state<Day>("");
  /** The latest few, whatever is shown. */
  latest = $state.raw<Day[]>([]);
  readonly files = new ClipFiles();
  readonly todo: ToDo;
  readonly cameras: CameraSearch;
  readonly search: ClipSearch;
  adding = $state<Adding | null>(null);
  /** The day that the films suggest, with a sentence on it. */
  readonly suggested = $derived(recordingDay(this.adding?.paths.map((p) => this.adding?.recorded[p] ?? "") ?? []));
  /** The day to which they are added. */
  readonly day = $derived(this.adding?.written ?? (this.suggested.day || (this.adding?.otherwise ?? today())));
  /** The days on which the films were recorded, the earliest first. */
  readonly days = $derived([...new Set(this.adding?.paths.map((p) => this.adding?.recorded[p] ?? "").filter(Boolean))].toSorted());
  /** They go to sessions of several days, each to its own: unless the coach has written one day, or does not want that. */
  readonly apart = $derived(this.days.length > 1 && this.adding?.written === null && this.adding.each);
  progress = $state.raw<Progress | null>(null);
  /** A file that may be taken for a clip's own: the coach is asked. */
  asked = $state.raw<{ clip: ListedClip; alike: Alike } | null>(null);

  /** Whether it takes more than one page to show them. */
  readonly many = $derived(this.total > PAGE);

  #dir = "";
  #turn = 0;
  #adding = false;
  #wanted: Id = "";
  #met: Id = "";

  constructor(private readonly app: App) {
    this.todo = new ToDo(app);
    this.cameras = new CameraSearch(app, async () => {
      await this.load();
      void this.cameras.propose(this.rows);
    });
    this.search = new ClipSearch(app);
  }

  readonly lookedBy = $derived.by(() => {
    const by = new Map<Id, LookedBy[]>();
    for (const l of this.looked) by.set(l.clip_id, [...(by.get(l.clip_id) ?? []), l]);
    return by;
  });
  readonly clips = $derived(this.rows.flatMap((s) => s.clips));

  shows(clip: Id): boolean {
    return this.clips.some((c) => c.id === clip);
  }

  /** Reads anew as many as are read. Where `clip` is not among them, those that it is among. */
  async load(clip: Id = ""): Promise<void> {
    if (this.app.state.dir !== this.#dir) this.#leave();
    if (clip !== "" && !this.shows(clip)) this.#wanted = clip;
    await this.#read(this.upTo, Math.max(PAGE, this.rows.length));
    void this.todo.load();
    void this.search.read();
  }

  /** load, and looks for all files once more. */
  async #anew(): Promise<void> {
    await this.load();
    void this.files.look(this.clips, true);
  }

  /** Shows the session of the clip that was open in Review, once for each clip: later visits keep what the coach chose to look at. */
  async enter(clip: Id): Promise<void> {
    const met = clip === this.#met;
    this.#met = clip;
    await this.load(met ? "" : clip);
    void this.files.look(this.clips, true);
    void this.cameras.propose(this.rows);
  }

  /** Shows the sessions up to a day, "" for the latest. */
  async jump(day: Day): Promise<void> {
    this.#wanted = "";
    await this.#read(day, PAGE);
  }

  async #read(upTo: Day, count: number): Promise<void> {
    const turn = ++this.#turn;
    let page: SessionPage | null = null;
    const ok = await this.app.attempt(async () => {
      page = await sessions.list({ up_to: upTo, count, clip: this.#wanted });
    });
    if (turn !== this.#turn) return; // another one has been asked for since
    this.trouble = ok ? "" : this.app.message.text;
    if (page) this.#take(page);
    this.loaded = true;
  }

  #take(page: SessionPage): void {
    this.#wanted = "";
    this.rows = page.sessions;
    this.looked = page.looked;
    this.upTo = page.up_to;
    this.earlier = page.earlier;
    this.total = page.total;
    this.first = page.first;
    if (page.up_to === "") this.latest = page.sessions.slice(0, 4).map((s) => s.date);
    void this.files.look(this.clips);
  }

  /** Reads the next page of earlier ones. */
  async more(): Promise<void> {
    const rows = this.rows;
    const last = rows.at(-1);
    if (this.#adding || this.earlier === 0 || !last) return;
    this.#adding = true;
    await this.app.attempt(async () => {
      const page = await sessions.list({ up_to: dayBefore(last.date), count: PAGE, clip: "" });
      if (rows !== this.rows) return; // what is shown has been read anew since
      const have = new Set(rows.map((s) => s.id));
      this.rows = [...rows, ...page.sessions.filter((s) => !have.has(s.id))];
      this.looked = [...this.looked, ...page.looked.filter((l) => !this.looked.some((o) => o.clip_id === l.clip_id))];
      this.earlier = page.earlier;
      void this.files.look(this.clips);
    });
    this.#adding = false;
  }

  /** Another library is open: nothing of the one before is shown. */
  #leave(): void {
    this.#dir = this.app.state.dir;
    this.rows = [];
    this.latest = [];
    this.upTo = "";
    this.#wanted = "";
    this.earlier = this.total = 0;
    this.todo.leave();
    this.search.text = "";
    this.loaded = false;
  }

  /** Looks once more for the files on a drive that did not answer. */
  async lookAgain(clip: ListedClip): Promise<void> {
    this.app.notify(`Looking for ${isolated(clip.name)}…`);
    await this.files.look([clip, ...this.clips.filter((c) => c.id !== clip.id && this.files.of(c) === "slow")], true);
    this.app.notify(
      {
        slow: `The drive with ${isolated(clip.name)} still does not answer.`,
        gone: `The drive answers, but ${isolated(clip.name)} is not there.`,
        here: `${isolated(clip.name)} is there.`,
      }[this.files.of(clip) ?? "slow"],
      this.files.of(clip) !== "here",
    );
  }

  listen(): () => void {
    const stops = [
      this.app.onChange((change) => void (change ? this.#anew() : this.load())),
      on("progress", (p) => {
        if (p.job === "add" && this.adding?.running) this.progress = p;
      }),
      onFileDrop((paths) => this.drop(paths)),
      this.cameras.follow(),
    ];
    return () => stops.forEach((stop) => stop());
  }

  begin(): void {
    // What is added next mostly goes to the same session.
    this.adding = {
      paths: [],
      written: this.adding?.written ?? null,
      otherwise: this.day,
      recorded: {},
      each: true,
      asking: 0,
      dateWrong: "",
      running: false,
      results: null,
    };
  }

  drop(paths: string[]): void {
    if (paths.length === 0 || this.adding?.running) return;
    if (!this.adding || this.adding.results) this.begin();
    const a = this.adding;
    if (!a) return;
    const fresh = paths.filter((p) => !a.paths.includes(p));
    a.paths = [...a.paths, ...fresh];
    a.dateWrong = "";
    void this.#ask(
      a,
      fresh.filter((p) => !(p in a.recorded)),
    );
  }

  /** Asks on which days films were recorded: a suggestion, which is not worth a complaint. */
  async #ask(a: Adding, paths: string[]): Promise<void> {
    if (paths.length === 0) return;
    a.asking++;
    const days = await sessions.recordedOn(paths).catch(() => []);
    a.recorded = { ...a.recorded, ...Object.fromEntries(paths.map((p, i) => [p, days[i] ?? ""])) };
    a.asking--;
  }

  async pick(): Promise<void> {
    await this.app.attempt(async () => this.drop(await sessions.pick()));
  }

  leaveOut(path: string): void {
    if (this.adding) this.adding.paths = this.adding.paths.filter((p) => p !== path);
  }

  async add(): Promise<void> {
    const a = this.adding;
    if (!a || a.running || a.asking > 0 || a.paths.length === 0) return;
    const date = this.day;
    a.running = true;
    a.dateWrong = "";
    this.progress = { done: 0, total: a.paths.length, label: "" };
    await this.app.write(
      () =>
        this.apart
          ? sessions.addOn(
              a.paths.map((p) => a.recorded[p] || date),
              [...a.paths],
            )
          : sessions.add(date, [...a.paths]),
      (results) => {
        a.results = sorted(results);
        return `${this.apart ? counted(this.days.length, "session") : `Session of ${date}`}: ${tallied(a.results)}.`;
      },
      {
        failed: (error) => {
          if (error.field === "date") a.dateWrong = error.sentence;
          else this.app.notify(error.sentence, true);
        },
      },
    );
    a.running = false;
    this.progress = null;
    await this.load();
  }

  async relink(clip: ListedClip): Promise<void> {
    const found = await this.app.write(
      () => sessions.relink(clip.id),
      (r) => {
        if (r.alike) {
          this.asked = { clip, alike: r.alike };
          return `${isolated(r.alike.name)} is another file than ${isolated(clip.name)}.`;
        }
        return r.clip.missing
          ? `${isolated(clip.name)} is still missing.`
          : `${isolated(clip.name)} is found again${r.others > 0 ? `, and ${counted(r.others, "other clip")} of its folder` : ""}.`;
      },
      { waiting: `Looking for ${isolated(clip.name)}, or choose the file that it is now…` },
    );
    // A library that cannot keep where the file lies looks for it each time.
    if (found && !found.clip.missing && this.app.state.read_only) this.app.review(clip.id);
    else await this.#anew();
  }

  /** Takes the file that was asked about. */
  async adopt(): Promise<void> {
    const a = this.asked;
    this.asked = null;
    if (!a) return;
    await this.app.write(
      () => sessions.adopt(a.clip.id, a.alike.path),
      () => `${isolated(a.alike.name)} is taken for ${isolated(a.clip.name)}. ${this.app.keymap.cap("undo")} takes it back.`,
    );
    await this.#anew();
  }

  async remove(clip: ListedClip): Promise<void> {
    await this.app.write(
      () => sessions.removeClip(clip.id),
      () => `${isolated(clip.name)} is taken out of the library; the file itself stays. ${this.app.keymap.cap("undo")} brings it back.`,
    );
    await this.load();
  }

  /** Saves date and note of a session; throws AppError for its form. */
  save(row: { id: string; date: string; note: string }): Promise<void> {
    return this.#saved(
      () => sessions.save(row),
      () => `Saved: session of ${row.date}.`,
    );
  }

  /** Gives a clip a title and a day; throws AppError for its form. */
  change(clip: ListedClip, title: string, day: Day): Promise<void> {
    return this.#saved(
      () => sessions.change(clip.id, title, day),
      (c) => `Saved: ${isolated(c.name)}, session of ${day}.`,
    );
  }

  async #saved<T>(work: () => Promise<T>, say: (row: T) => string): Promise<void> {
    const wrong: AppError[] = [];
    await this.app.write(work, say, {
      failed: (error) => {
        wrong.push(error);
      },
    });
    if (wrong[0]) throw wrong[0];
    await this.load();
  }
}
