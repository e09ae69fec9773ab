// What the program hears in a clip, as it sends it. Proposals are worked out each
// time and stored nowhere until a coach takes them over.
import type { Id, Outcome, Side } from "./domain";

/** How far a clip is listened to; `say` tells why it failed. */
export interface Hearing {
  state: "" | "running" | "stopped" | "silent" | "failed" | "done";
  /** Seconds heard of all. */
  done: number;
  all: number;
  say: string;
}

/** One sharp sound, clip time. `near` is the louder of the two players. */
export interface Noise {
  seconds: number;
  kind: "racket" | "bounce" | "other";
  who: "" | "near" | "far";
  confidence: number;
}

/** A stroke that was heard and that nobody has taken over. */
export interface Proposal {
  frame: number;
  seconds: number;
  side: Side;
  outcome: Outcome;
  /** 0 to 1, of contact and outcome together. */
  confidence: number;
  answer: number | null;
}

/** What is proposed for one turn. */
export interface HeardTurn {
  turn_id: Id;
  /** The sound was listened to beyond the turn's end. */
  known: boolean;
  /** Which of the two that are heard is the turn's player. */
  player: "near" | "far";
  /** The sound does not tell which of two is the racket and which the table. */
  unsure: boolean;
  /** A coach has said so. */
  sure: boolean;
  /** The confidence from which on contacts are proposed. */
  least: number;
  strokes: Proposal[];
}

/** What a coach says of one proposal; the whole turn is taken over with it. */
export interface Fix {
  do: "" | "side" | "outcome" | "remove" | "add";
  frame: number;
  side: Side;
  outcome: Outcome;
  /** Frame of a moment; the bench leaves it 0. */
  at: number;
}

/** A stretch of play that no turn covers. */
export interface Burst {
  first: number;
  last: number;
  /** Clip time. */
  from: number;
  to: number;
  contacts: number;
  /** Of the louder of the two players. */
  strokes: number;
  /** Not enough is heard yet: it may become another one. */
  open: boolean;
  /** Frame at which the turn before it in the clip ends, -1 where there is none. */
  after: number;
  /** Who comes next, and the drill before; "" where nobody can say. */
  player_id: Id;
  drill_id: Id;
}

/** What is proposed as turns of a clip. */
export interface Bursts {
  /** Seconds without play that end a burst; as learned, or as a coach has set it. */
  pause: number;
  learned: number;
  set: boolean;
  /** The clip's pauses fall into two kinds. */
  sure: boolean;
  /** There are too few of them to learn from. */
  short: boolean;
  /** The clip is heard to its end. */
  known: boolean;
  /** In which the players take their turns, again and again. */
  order: Id[];
  bursts: Burst[];
}

/** A stretch that is to be a turn. */
export interface NewTurn {
  first: number;
  last: number;
  player_id: Id;
  drill_id: Id;
}
