// What is still to do, as the program tells it.
import type { Day, Id } from "./domain";

/** What is listed of all that is still to do; "" takes all, `most` 0 too. */
export interface ToDoAsked {
  player_id: Id;
  fault_id: Id;
  /** Only looks of this coach count; "": anybody's. */
  coach_id: Id;
  from: Day;
  to: Day;
  most: number;
}

export interface ToDoList {
  /** The latest session first, then by clip and frame. */
  rows: ToDoRow[];
  /** Turns with something to do, however many rows there are; of them not looked at, looked through in part, without strokes. */
  turns: number;
  unlooked: number;
  partly: number;
  unsettled: number;
  /** Clips without any turn. */
  clips: number;
}

/** One turn with all that is still to do on it, or a clip without turns. */
export interface ToDoRow {
  date: Day;
  clip_id: Id;
  clip_name: string;
  /** "": the clip has no turn. */
  turn_id: Id;
  player_id: Id;
  drill_id: Id;
  first: number;
  last: number;
  /** Clip time of the first frame. */
  seconds: number;
  strokes: number;
  /** Nobody has looked at any of it. */
  unlooked: boolean;
  /** Codes of the faults for which it was not looked through, where it was looked at. */
  missing: string[];
  /** No stroke is logged, and what was heard is neither taken over nor refused. */
  unsettled: boolean;
  /** The coach who marks has looked at some of it. */
  mine: boolean;
}
