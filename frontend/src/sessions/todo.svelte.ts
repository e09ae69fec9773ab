import { AppError, sessions } from "../api/api";
import type { Fault, Id, Player, ToDoList, ToDoRow } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { counted } from "../shared/timeline";

/** So many rows are read at most: an evening's work. */
export const MOST = 200;

/** "To do: 23 turns", "To do: 1 turn, 2 clips", "Nothing to do". */
export function inShort(list: Pick<ToDoList, "turns" | "clips">): string {
  const parts = [list.turns > 0 && counted(list.turns, "turn"), list.clips > 0 && counted(list.clips, "clip")].filter((p) => p !== false);
  return parts.length === 0 ? "Nothing to do" : `To do: ${parts.join(", ")}`;
}

/** "20 not looked at · 2 looked through in part · 1 without strokes · 1 clip without turns". */
export function inKinds(list: Omit<ToDoList, "rows">): string {
  return [
    list.unlooked > 0 && `${list.unlooked} not looked at`,
    list.partly > 0 && `${list.partly} looked through in part`,
    list.unsettled > 0 && `${list.unsettled} without strokes`,
    list.clips > 0 && `${counted(list.clips, "clip")} without turns`,
  ]
    .filter(Boolean)
    .join(" · ");
}

/** So many codes are named in a row; where there are more, one less and how many more. */
const NAMED = 6;

function codes(all: readonly string[]): string {
  return all.length <= NAMED ? all.join(", ") : `${all.slice(0, NAMED - 1).join(", ")} and ${all.length - NAMED + 1} more`;
}

/** What is still to do on a row, in a few words each. `own`: by this coach. */
export function kinds(row: ToDoRow, own = false): string[] {
  if (row.turn_id === "") return ["no turn yet"];
  const said: string[] = [];
  if (row.unlooked) said.push(own ? "not looked at by you" : "not looked at");
  else if (row.missing.length > 0) said.push(`not for ${codes(row.missing)}`);
  if (row.unsettled) said.push("no strokes yet");
  return said;
}

/** The turns of a pass that begins at a row. Those without strokes wait until they have some. */
export function passFrom(rows: readonly ToDoRow[], at: number): Id[] {
  return rows
    .slice(at)
    .filter((r) => r.turn_id !== "" && !r.unsettled)
    .map((r) => r.turn_id);
}

/** What Enter does on a row. */
export function next(row: ToDoRow): "turns" | "strokes" | "pass" {
  if (row.turn_id === "") return "turns";
  return row.unsettled ? "strokes" : "pass";
}

/** Rows that follow each other on one day together, each with its place in the list. */
export function byDay(rows: readonly ToDoRow[]): { row: ToDoRow; at: number }[][] {
  const days: { row: ToDoRow; at: number }[][] = [];
  rows.forEach((row, at) => {
    const last = days.at(-1);
    if (last && last[0]?.row.date === row.date) last.push({ row, at });
    else days.push([{ row, at }]);
  });
  return days;
}

const same = (a: ToDoRow, b: ToDoRow) => a.clip_id === b.clip_id && a.turn_id === b.turn_id;

/** The list of what is still to do, with what it is restricted to and the row that is chosen. */
export class ToDo {
  list = $state.raw<ToDoList | null>(null);
  /** Why it could not be read, "" where it was. */
  trouble = $state("");
  /** Shown in place of the sessions. */
  open = $state(false);
  player = $state<Id>("");
  fault = $state<Id>("");
  /** Only what the coach who marks has looked at counts. */
  own = $state(false);
  at = $state(0);

  readonly row = $derived(this.list?.rows[this.at]);
  /** Rows that are not shown. */
  readonly more = $derived(this.list ? this.list.turns + this.list.clips - this.list.rows.length : 0);

  #stale = false;
  #reading: Promise<void> | null = null;

  constructor(private readonly app: App) {}

  /** Reads it anew, once more where it changes meanwhile. Never fails. */
  load(): Promise<void> {
    this.#stale = true;
    return (this.#reading ??= this.#read().finally(() => (this.#reading = null)));
  }

  async #read(): Promise<void> {
    while (this.#stale) {
      this.#stale = false;
      // What was undone, or is in no library that is open now, restricts nothing.
      if (!this.app.playerOf.has(this.player)) this.player = "";
      if (!this.app.faultOf.has(this.fault)) this.fault = "";
      try {
        const list = await sessions.toDo({
          player_id: this.player,
          fault_id: this.fault,
          coach_id: this.own ? this.app.state.coach_id : "",
          from: "",
          to: "",
          most: MOST,
        });
        if (!this.#stale) this.#take(list);
      } catch (cause) {
        this.trouble = AppError.from(cause).sentence;
      }
    }
  }

  /** The row that was chosen stays; what is done gives its place to the next. */
  #take(list: ToDoList): void {
    const before = this.row;
    const at = before ? list.rows.findIndex((r) => same(r, before)) : -1;
    this.list = list;
    this.trouble = "";
    this.at = at >= 0 ? at : Math.max(0, Math.min(this.at, list.rows.length - 1));
  }

  /** Opens or closes it. Closed, it counts everything again. */
  toggle(): void {
    this.open = !this.open;
    if (!this.open && (this.player !== "" || this.fault !== "" || this.own)) this.only({ player: "", fault: "", own: false });
  }

  /** Restricts it. */
  only(to: { player?: Id; fault?: Id; own?: boolean }): void {
    this.player = to.player ?? this.player;
    this.fault = to.fault ?? this.fault;
    this.own = to.own ?? this.own;
    this.at = -1; // the first, once it is read
    void this.load();
  }

  /** Another library is open. */
  leave(): void {
    this.list = null;
    this.open = this.own = false;
    this.player = this.fault = "";
    this.at = 0;
  }

  walk(by: number): void {
    this.at = Math.max(0, Math.min(this.at + by, (this.list?.rows.length ?? 0) - 1));
  }

  /** Goes to work on the chosen row; of a list that is being read, on that of the new list. */
  async start(): Promise<void> {
    await this.#reading;
    const row = this.row;
    if (!row || !this.list) return;
    if (next(row) === "turns") this.app.review(row.clip_id);
    else if (next(row) === "strokes") this.app.review(row.clip_id, row.first, row.turn_id);
    else this.app.startPass(passFrom(this.list.rows, this.at), this.fault === "" ? [] : [this.fault]);
  }
}

/** Players and faults to restrict it to, with everybody and everything first. */
export function players(all: readonly Player[], chosen: Id): { id: Id; name: string }[] {
  return [{ id: "", name: "Everybody" }, ...all.filter((p) => !p.retired || p.id === chosen)];
}

export function faults(all: readonly Fault[], chosen: Id): { id: Id; code: string; label: string }[] {
  return [{ id: "", code: "", label: "Every fault" }, ...all.filter((f) => !f.retired || f.id === chosen)];
}
