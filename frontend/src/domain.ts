// The words of the club as the program sends them: rows with ids, enums as the
// plain strings of the domain. Frames count from 0; seconds are clip time.

export type Id = string;
/** A calendar day, year-month-day; "" means not given. */
export type Day = string;

export type Method = "regular" | "irregular" | "free";
export type Side = "forehand" | "backhand" | "";
export type Sides = "forehand" | "backhand" | "both";
export type Placement = "diagonal" | "parallel" | "free";
export type Ball = "passive block" | "active block" | "multiball" | "open rally";
export type Phase = "ready" | "footwork" | "backswing" | "contact" | "follow-through" | "recovery";
export type Outcome = "good" | "missed";
export type Source = "hand" | "machine";
export type Hand = "right" | "left";

export const METHODS: readonly Method[] = ["regular", "irregular", "free"];
export const SIDES: readonly Sides[] = ["forehand", "backhand", "both"];
export const PLACEMENTS: readonly Placement[] = ["diagonal", "parallel", "free"];
export const BALLS: readonly Ball[] = ["passive block", "active block", "multiball", "open rally"];
export const PHASES: readonly Phase[] = ["ready", "footwork", "backswing", "contact", "follow-through", "recovery"];
export const HANDS: readonly Hand[] = ["right", "left"];

export interface Coach {
  id: Id;
  name: string;
  retired?: boolean;
}

export interface Player {
  id: Id;
  name: string;
  alias?: string;
  hand: Hand;
  group?: string;
  note?: string;
  retired?: boolean;
}

export interface Drill {
  id: Id;
  name: string;
  method: Method;
  /** Order of strokes, F forehand and B backhand, repeated; "" is free. */
  pattern: string;
  placement: Placement;
  ball: Ball;
  rung: number;
  streak: number;
  note?: string;
  retired?: boolean;
}

export interface Fault {
  id: Id;
  code: string;
  label: string;
  phase: Phase;
  sides: Sides;
  cue?: string;
  weight: number;
  /** One small letter or digit, "" for none. */
  key: string;
  retired?: boolean;
}

export interface Catalogue {
  coaches: Coach[];
  players: Player[];
  drills: Drill[];
  faults: Fault[];
}

export interface Session {
  id: Id;
  date: Day;
  note?: string;
}

export interface ClipRow {
  id: Id;
  session_id: Id;
  name: string;
  path: string;
  seconds: number;
  frames: number;
  width: number;
  height: number;
  missing: boolean;
  turns: number;
  strokes: number;
  marks: number;
}

export interface SessionRow extends Session {
  clips: ClipRow[];
}

/** A stretch of one clip, both frames included: one player, one drill. */
export interface Turn {
  id: Id;
  clip_id: Id;
  player_id: Id;
  drill_id: Id;
  first: number;
  last: number;
  first_ticks: number;
  last_ticks: number;
}

export interface Stroke {
  id: Id;
  clip_id: Id;
  frame: number;
  ticks: number;
  /** As a coach set it; "" or absent: as the drill's pattern says. */
  side?: Side;
  outcome: Outcome;
  source: Source;
  confidence: number;
  coach_id: Id;
}

export interface Mark {
  id: Id;
  clip_id: Id;
  fault_id: Id;
  coach_id: Id;
  frame: number;
  ticks: number;
  note?: string;
  source: Source;
  confidence: number;
  made: string;
}

export interface Ledger {
  turns: Turn[];
  strokes: Stroke[];
  marks: Mark[];
}

export interface LibraryState {
  dir: string;
  name: string;
  read_only: boolean;
  warning: string;
  coach_id: Id;
  undo: string;
  redo: string;
  demo: boolean;
}

export interface Change {
  label: string;
  clips: Id[];
  catalogue: boolean;
  /** Frame of the touched entry, -1 for none. */
  frame: number;
  undo: string;
  redo: string;
}

export interface RosterResult {
  added: number;
  skipped: number;
  rows: { line: number; say: string }[];
}

export interface AddResult {
  path: string;
  name: string;
  clip_id: Id;
  /** "" where all went well. */
  say: string;
}

export interface OpenedClip {
  clip: ClipRow;
  width: number;
  height: number;
  frames: number;
  complete: boolean;
  base: { num: number; den: number };
  sound: boolean;
  notices: string[];
}

export interface SummaryQuery {
  players: Id[];
  drills: Id[];
  from: Day;
  to: Day;
  /** Documents show full names instead of aliases. */
  names: boolean;
}

/** X strokes with the fault out of N on which it could have happened. */
export interface Share {
  x: number;
  n: number;
  rate: number;
  low: number;
  high: number;
}

/** X marks in so many minutes of turns without logged strokes. */
export interface Pace {
  x: number;
  minutes: number;
  rate: number;
  low: number;
  high: number;
}

export interface FaultLine {
  fault_id: Id;
  code: string;
  label: string;
  phase: Phase;
  weight: number;
  cue: string;
  marks: number;
  per_stroke: Share | null;
  per_minute: Pace | null;
  mark_ids: Id[];
}

export interface Streak {
  longest: number;
  /** 0 where no strokes are logged. */
  target: number;
  reached: boolean;
  turn_id: Id;
  clip_id: Id;
  frame: number;
}

export interface Group {
  kind: "all" | "method" | "drill";
  drill_id: Id;
  name: string;
  method: Method;
  rung: number;
  sessions: number;
  turns: number;
  seconds: number;
  strokes: number;
  good: number;
  unlogged_turns: number;
  unlogged_seconds: number;
  streak: Streak;
  faults: FaultLine[];
}

export interface Sheet {
  /** "" for the team. */
  player_id: Id;
  name: string;
  all: Group;
  methods: Group[];
  drills: Group[];
}

export interface SummaryResult {
  from: Day;
  to: Day;
  team: Sheet;
  players: Sheet[];
}

export interface MarkRow {
  id: Id;
  clip_id: Id;
  clip_name: string;
  date: Day;
  frame: number;
  seconds: number;
  fault_code: string;
  fault_label: string;
  player: string;
  drill: string;
  note: string;
  coach: string;
}

export type ExportFormat = "html" | "csv" | "json" | "text";
