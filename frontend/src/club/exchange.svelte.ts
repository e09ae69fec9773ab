import { exchange, on, sessions } from "../api/api";
import type { Handed, HandedOver, Id, MergeCount, MergeDoubt, MergePreview, SessionRow, WorkWanted } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { dayInWords } from "../shared/days";
import { counted } from "../shared/timeline";

/** "3 May 2026, 14:02" where the computer stands. */
export function handedWords(h: Handed): string {
  const at = new Date(h.at);
  const two = (n: number) => String(n).padStart(2, "0");
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${dayInWords(day)}, ${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** What is in a file that was written. */
export function writtenWords(h: HandedOver): string {
  if (h.path === "") return "No file was chosen: nothing was written.";
  const parts = [counted(h.sessions, "session"), counted(h.clips, "clip"), counted(h.strokes, "stroke"), counted(h.marks, "mark")];
  if (h.films > 0) parts.push(`${counted(h.films, "film")} beside it`);
  const missing = h.missing.length > 0 ? ` Not in their place, and not copied: ${h.missing.join(", ")}.` : "";
  return `Written to ${h.path}: ${parts.join(", ")}.${missing}`;
}

/** "marks: 12 new, 1 changed". */
export function countWords(c: MergeCount): string {
  const parts: string[] = [];
  if (c.new > 0) parts.push(`${c.new} new`);
  if (c.changed > 0) parts.push(`${c.changed} changed`);
  if (c.removed > 0) parts.push(`${c.removed} removed`);
  if (c.back > 0) parts.push(`${c.back} back`);
  const n = c.new + c.changed + c.removed + c.back;
  const word = n === 1 ? c.table : c.table === "coach" ? "coaches" : `${c.table}s`;
  return `${n} ${word}: ${parts.join(", ")}`;
}

export type Scope = "all" | "since" | "sessions";

/** What a coach chooses to hand over. */
export class HandingOver {
  scope = $state<Scope>("all");
  names = $state(true);
  films = $state(false);
  since = $state(0);
  chosen = $state.raw<ReadonlySet<Id>>(new Set());
  handed = $state.raw<Handed[]>([]);
  sessions = $state.raw<SessionRow[]>([]);
  earlier = $state(0);
  copied = $state(0);
  readonly ready = $derived(this.scope !== "sessions" || this.chosen.size > 0);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    await this.app.attempt(async () => {
      this.handed = await exchange.handed();
      const last = this.handed[0];
      if (last) {
        this.scope = "since";
        this.since = last.seq;
      }
      await this.more();
    });
  }

  /** Lists more sessions, the latest first. */
  async more(): Promise<void> {
    const page = await sessions.list({ up_to: "", count: this.sessions.length + 10, clip: "" });
    this.sessions = page.sessions;
    this.earlier = page.earlier;
  }

  choose(id: Id, there: boolean): void {
    const next = new Set(this.chosen);
    if (there) next.add(id);
    else next.delete(id);
    this.chosen = next;
  }

  wanted(): WorkWanted {
    return {
      sessions: this.scope === "sessions" ? [...this.chosen] : [],
      since: this.scope === "since" ? this.since : 0,
      names: this.names,
      films: this.films,
    };
  }

  /** True where a file was written. */
  async write(): Promise<boolean> {
    const stop = on("progress", (p) => {
      if (p.job === "films") this.copied = p.done;
    });
    const done = await this.app.write(() => exchange.write(this.wanted()), writtenWords, { waiting: "Choose where…" });
    stop();
    this.copied = 0;
    return done !== undefined && done.path !== "";
  }
}

/** A file with the work of another library, on its way in. */
export class TakingIn {
  found = $state.raw<MergePreview | null>(null);
  films = $state(false);
  running = $state(false);
  copied = $state(0);
  #answers: Record<string, string> = {};
  /** Questions that came without an answer: they stay where they stand once they have one. */
  #open = $state.raw<ReadonlySet<string>>(new Set());

  readonly asked = $derived(this.found?.doubts.filter((d) => this.#open.has(d.key)) ?? []);
  /** Those for which an answer is proposed. */
  readonly proposed = $derived(this.found?.doubts.filter((d) => !this.#open.has(d.key)) ?? []);

  constructor(private readonly app: App) {}

  async pick(): Promise<void> {
    await this.app.attempt(async () => {
      const file = await exchange.pick();
      if (file === "") return;
      this.#answers = {};
      this.#open = new Set();
      this.films = false;
      await this.#look(file);
    });
  }

  async #look(file: string): Promise<void> {
    this.running = true;
    try {
      const found = await exchange.preview(file, this.#answers);
      this.#open = new Set([...this.#open, ...found.doubts.filter((d) => d.chosen === "").map((d) => d.key)]);
      this.found = found;
    } finally {
      this.running = false;
    }
  }

  /** Answers questions; an answer may bring others, or do away with some. */
  async answer(doubts: readonly MergeDoubt[], value: string): Promise<void> {
    const file = this.found?.file;
    if (file === undefined) return;
    for (const d of doubts) if (d.choices.some((c) => c.value === value)) this.#answers[d.key] = value;
    await this.app.attempt(() => this.#look(file));
  }

  async take(): Promise<void> {
    const p = this.found;
    if (!p) return;
    this.running = true;
    const stop = on("progress", (e) => {
      if (e.job === "films") this.copied = e.done;
    });
    // What is only proposed was shown, and is meant by taking the file in.
    const answers = Object.fromEntries(p.doubts.map((d) => [d.key, d.chosen]));
    const taken = await this.app.write(
      () => exchange.take(p.file, answers, this.films),
      (t) => (t ? "Taken in. One undo takes all of it back." : "No folder was chosen: nothing was taken in."),
      { waiting: "Taking in…" },
    );
    stop();
    this.copied = 0;
    this.running = false;
    if (taken) {
      this.found = null;
      await this.app.reload();
    }
  }

  close(): void {
    if (!this.running) this.found = null;
  }
}

/** Questions of one kind that all have the same answers, where there are several. */
export function several(doubts: readonly MergeDoubt[]): MergeDoubt[][] {
  const kinds = new Map<string, MergeDoubt[]>();
  for (const d of doubts) {
    const key = `${d.kind} ${d.choices.map((c) => c.value).join(" ")}`;
    kinds.set(key, [...(kinds.get(key) ?? []), d]);
  }
  return [...kinds.values()].filter((all) => all.length > 1 && all[0]?.kind !== "turns");
}
