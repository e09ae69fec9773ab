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
  /** First and last day of the consent to film; "" or absent: none on record, no end. */
  consent_from?: Day;
  consent_until?: Day;
  /** Who gave it. */
  consent_by?: string;
  /** The day after which the player's film and rows should go. */
  delete_after?: Day;
}

/** Something about a player's consent that the team has to see to. */
/** A backup in the library's folder, made by the program itself. */
export interface Kept {
  path: string;
  kind: "daily" | "before-restore" | "version";
  day: Day;
  clock: string;
  bytes: number;
}

/** What there is to go back to. */
export interface Shelter {
  dir: string;
  /** The library cannot be opened: go back, or repair it. */
  damaged: boolean;
  /** Newest first. */
  backups: Kept[];
}

/** Sentences about what is not as it should be: in the ledger, about the clips' files. */
export interface Findings {
  ledger: string[];
  files: string[];
}

export interface Reminder {
  player_id: Id;
  name: string;
  kind: "missing" | "over" | "due";
  clips: number;
  say: string;
}

/** What forgetting a player would take away. */
export interface Farewell {
  player: Player;
  turns: number;
  strokes: number;
  marks: number;
  rulings: number;
  /** Changes in the log and backups in the folder: all of them go. */
  steps: number;
  copies: number;
  clips: FarewellClip[];
  notes: { where: string; text: string; whole: boolean; note: boolean }[];
  documents: FarewellDocument[];
}

export interface FarewellClip {
  id: Id;
  name: string;
  path: string;
  date: Day;
  missing: boolean;
  turns: number;
  /** Names of others who play on it; none: it shows this player alone. */
  others: string[];
}

export interface FarewellDocument {
  path: string;
  format: string;
  made: Day;
  missing: boolean;
  others: string[];
}

export interface Forgetting {
  player_id: Id;
  clips: Id[];
  films: boolean;
  documents: string[];
  notes: boolean;
  keep_counts: boolean;
}

/** A file that is not a clip's own, but has the same length and sound. */
export interface Alike {
  path: string;
  name: string;
  moved: number;
  most: number;
  say: string;
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

/** A clip with what is in the ledger about it. */
export interface ListedClip {
  id: Id;
  session_id: Id;
  name: string;
  path: string;
  seconds: number;
  frames: number;
  width: number;
  height: number;
  turns: number;
  strokes: number;
  marks: number;
}

/** A clip whose file was looked for. */
export interface ClipRow extends ListedClip {
  missing: boolean;
}

export interface SessionRow extends Session {
  clips: ListedClip[];
  /** Clips whose film is forgotten, and whose numbers were kept. */
  removed: number;
}

/** Which sessions are asked for: the latest `count` up to a day, "" for the last there is. */
export interface SessionsAsked {
  up_to: Day;
  count: number;
  /** A clip that has to be among them, "" for none: where it is not among the latest, they begin with its session, whatever `up_to` says. */
  clip: Id;
}

export interface SessionPage {
  /** The latest first. */
  sessions: SessionRow[];
  up_to: Day;
  /** Sessions before these, and in all. */
  earlier: number;
  total: number;
  /** Of the earliest of all, "" where there is none. */
  first: Day;
}

/** A clip whose file cannot be used; slow: its drive does not answer, so nobody knows. */
export interface AbsentClip {
  clip_id: Id;
  slow: boolean;
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
  /** What was heard is taken over or refused: nothing is proposed any more. */
  settled?: boolean;
  /** Ticks at which a coach has said that this player strikes. */
  anchor?: number | null;
  /** Least confidence of what is proposed; 0 or absent: the usual one. */
  heard_from?: number;
}

/** One picture of a clip. */
export interface Moment {
  frame: number;
  ticks: number;
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
  /** When the player is back in the ready position. */
  ready?: Moment | null;
  /** The partner's next contact, seconds of clip time. */
  answer?: number | null;
}

/** An arrow from the first place to the second, or a circle round the first through the second; fractions of the picture. */
export interface Sign {
  kind: "arrow" | "circle";
  x1: number;
  y1: number;
  x2: number;
  y2: number;
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
  /** The stroke that a coach hung it on; "" or absent: the nearest. */
  stroke_id?: Id;
  sign?: Sign | null;
}

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

export interface Ledger {
  turns: Turn[];
  strokes: Stroke[];
  marks: Mark[];
  looks: Look[];
  /** The stroke on which each mark in a turn hangs, "" for none. */
  hangs_on: Record<Id, Id>;
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
  /** What a coach has set, "" for nothing, else what the drill's pattern says. */
  side: Side;
  /** Only what a coach has set. */
  set: Side;
  outcome: Outcome;
  /** Between which frames a fault of each phase can be seen, in the order of PHASES. */
  earliest: number[];
  latest: number[];
  offers: { fault_id: Id; say: string }[];
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
  /** The coach of a new library has not said who it is. */
  nameless?: boolean;
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
  /** Each picture may hold two moments. */
  interlaced: boolean;
  /** Seconds of playing that one second in the hall takes; 1 in real time. */
  slowness: number;
  /** Videos and sounds of the file to choose from. */
  videos: Part[];
  sounds: Part[];
}

/** A video or a sound of a clip's file. */
export interface Part {
  name: string;
  /** Shown or heard at present. */
  shown: boolean;
}

export type * from "./tally";

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
  /** What the coach has drawn on the picture. */
  sign: Sign | null;
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

export type ExportFormat = "html" | "csv" | "xlsx" | "json" | "record" | "text";

/** Which marks a number counts; "" takes all. */
export interface MarkKind {
  fault_id: Id;
  phase: Phase | "";
  /** Of the stroke on which the mark hangs. */
  side: Side;
}

/** Which table goes out as CSV, and how. */
export interface TableForm {
  which: "faults" | "marks" | "strokes" | "looks";
  /** Semicolons between cells, and decimal commas. */
  semicolon: boolean;
  no_mark: boolean;
}

/** What goes into a player's film; 0 and "" take what is usual. */
export interface ReelQuery {
  player: Id;
  fault: Id;
  good: boolean;
  from: Day;
  to: Day;
  names: boolean;
  silent: boolean;
  /** The film is made also where no consent to it is on record. */
  unconsented?: boolean;
  most: number;
  lead: number;
  follow: number;
  slow: number;
}

/** What a film became; the path is empty where none was written. */
export interface ReelDone {
  path: string;
  pieces: number;
  seconds: number;
  say: string;
}
