// Who has looked at what, and what a pass shows.
import type { Id, Day, Side, Outcome, Mark } from "./domain";

/** One coach's looking through a stretch of a clip for some faults. */
export interface Look {
  id: Id;
  clip_id: Id;
  coach_id: Id;
  first: number;
  last: number;
  faults: Id[];
  made: string;
  /** Taken from marks of a time when looks were not kept. */
  assumed?: boolean;
}

/** A mark that was made while the clip played. */
export interface PlayedMark {
  mark: Mark;
  /** The stroke before that may have been meant as well; "" for none. */
  other: Id;
}

/** How a coach wants a pass to go. */
export interface PassWish {
  /** Seconds shown before and after a contact. */
  before: number;
  after: number;
  rate: number;
  /** How often a stroke is shown before the pass goes on. */
  loops: number;
  /** It goes on by itself; else it waits for a key. */
  run_on: boolean;
  sound: boolean;
  /** Faults that are looked for; empty: all in use. */
  focus: Id[];
}

/** Which turns a pass goes over; empty fields take all. */
export interface TurnsAsked {
  session_id: Id;
  clip_id: Id;
  player_id: Id;
  /** The turns in which these marks lie. */
  marks: Id[];
}

/** One turn as a pass shows it. */
export interface PassTurn {
  turn_id: Id;
  clip_id: Id;
  player_id: Id;
  drill_id: Id;
  date: string;
  first: number;
  last: number;
  strokes: PassStroke[];
  /** Strokes that are heard and that nobody has taken over or refused. */
  heard: number;
  /** The sound is not heard to the turn's end yet. */
  waiting: boolean;
  /** This coach has looked through it for these faults before. */
  looked: boolean;
  /** How long this coach takes to press a key, seconds. */
  reaction: number;
}

export interface PassStroke {
  id: Id;
  frame: number;
  /** First and last frame shown. */
  from: number;
  to: number;
  /** What a coach has set, else what the drill's pattern says; "" for neither. */
  side: Side;
  /** Only what a coach has set. */
  set: Side;
  outcome: Outcome;
  /** Between which frames a fault of each phase can be seen, in the order of PHASES. */
  earliest: number[];
  latest: number[];
  offers: { fault_id: Id; say: string }[];
}

/** A turn that was not looked through. */
export interface UnlookedTurn {
  turn_id: Id;
  clip_id: Id;
  clip_name: string;
  date: Day;
  /** Its first. */
  frame: number;
  seconds: number;
  /** In seconds. */
  length: number;
  player: string;
  player_id: Id;
  drill: string;
  strokes: number;
  /** Nobody has looked at any of it. */
  nobody: boolean;
  /** Codes of the faults that something was left out for. */
  faults: string[];
}

/** The turns that were not looked through: how many, and the latest 500. */
export interface UnlookedTurns {
  total: number;
  turns: UnlookedTurn[];
}

/** How far the turns of a group were looked through. */
export interface Looked {
  turns: number;
  strokes: number;
  some_turns: number;
  some_strokes: number;
  no_turns: number;
  no_strokes: number;
  twice_turns: number;
  assumed_turns: number;
  /** All of it in plain sentences, "" where there is nothing to say. */
  say: string;
  /** The words in it that count the turns that were not looked through, "" for none. */
  left: string;
}
