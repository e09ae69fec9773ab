// What the parts of the bench share: each does one job on the same clip, its ledger
// and its selection. They know this and not the bench, which is made of them.
import type { HeardTurn, Id, Ledger, Mark, Outcome, Proposal, Stroke, Turn } from "../api/domain";
import type { App, Place } from "../shared/app.svelte";
import type { Detection } from "./detection.svelte";
import type { LoggedStroke, RowStroke } from "./turns";
import type { Viewer } from "./viewer.svelte";

export type Entry = { kind: "mark"; row: Mark } | { kind: "stroke"; row: Stroke } | { kind: "turn"; row: Turn };

export function frameOf(e: Entry): number {
  return e.kind === "turn" ? e.row.first : e.row.frame;
}

/** A turn that is being entered or changed; `id` is "" for a new one. */
export interface TurnDraft {
  id: Id;
  player_id: Id;
  drill_id: Id;
  first: number;
  last: number;
}

/** Something that the program proposes and one key answers. */
export interface Question {
  text: string;
  yes: string;
  accept: () => void;
  no: string;
  refuse: () => void;
}

/** The clip on the bench and everything that is written about it. */
export interface BenchCore {
  readonly app: App;
  readonly detection: Detection;
  viewer: Viewer | null;
  ledger: Ledger;
  selectedId: Id;
  draft: TurnDraft | null;
  question: Question | null;
  /** The stroke whose late return to ready waits for the fault to mark it with. */
  lateness: Stroke | null;
  /** Why the clip cannot be opened, "" where it is. */
  trouble: string;

  readonly clip: { id: Id } | undefined;
  /** The frame on show. */
  readonly frame: number;
  /** The turn that covers it, with its strokes. */
  readonly turn: Turn | undefined;
  readonly logged: readonly LoggedStroke[];
  readonly heard: HeardTurn | undefined;
  readonly proposals: readonly Proposal[];
  readonly row: readonly RowStroke[];
  /** The stroke that the selected mark hangs on. */
  readonly holding: LoggedStroke | undefined;

  open(place: Place): Promise<void>;
  close(): void;
  strokesOf(turn: Turn): LoggedStroke[];
  notify(say: string, wrong?: boolean): void;
  at(frame: number): string;
  clock(frame: number): string;
  /** One write about this clip; the ledger is read again before it is called saved. */
  write<T>(work: (clip: Id) => Promise<T>, done: (result: T) => string): Promise<T | undefined>;
  /** Whether a coach is chosen; shows what to do where none is. */
  coachKnown(): boolean;
  hangOn(m: Mark, stroke: Id, said: string): Promise<void>;
  saveStroke(s: Stroke, change: { outcome?: Outcome; frame?: number }): Promise<void>;
  removeEntry(e: Entry): Promise<void>;
}
