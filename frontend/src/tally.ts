// A fault summary as the program sends it: the page's view of internal/tally,
// field for field. Rates run from 0 to 1, intervals cover 95 %.
import type { Day, Id, Method, Outcome, Phase, Side, Looked } from "./domain";

export interface SummaryQuery {
  players: Id[];
  drills: Id[];
  methods: Method[];
  from: Day;
  to: Day;
  /** First day of the later of two periods that are compared, "" for none. */
  split: Day;
  /** Documents show full names instead of aliases. */
  names: boolean;
  /** Documents show the film of players too without consent on record. */
  unconsented?: boolean;
}

/** X strokes with the fault out of N on which it could have happened. */
export interface Share {
  x: number;
  n: number;
  rate: number;
  low: number;
  high: number;
  turns: number;
  /** What the interval rests on; "none": too few turns to give one, low is 0 and high 1. */
  by: "strokes" | "turns" | "none" | "";
}

/** X marks in so many minutes of turns without logged strokes. */
export interface Pace {
  x: number;
  minutes: number;
  rate: number;
  low: number;
  high: number;
}

/** The rate to expect, drawn towards the club's. */
export interface Expected {
  rate: number;
  low: number;
  high: number;
  club: number;
  excess: number;
}

export interface Test {
  p: number;
  adjusted: number;
  /** May be called a change, although many were tested. */
  survives: boolean;
}

export type Direction = "too early to tell" | "no change shown" | "getting worse" | "getting better";

export interface Trend {
  sessions: number;
  direction: Direction;
  /** The sessions are enough for a trend, but too few turns were seen to tell. */
  too_few_turns: boolean;
  /** Percentage points a month. */
  slope: { per_month: number; low: number; high: number } | null;
  test: Test | null;
}

export interface FaultLine {
  fault_id: Id;
  code: string;
  label: string;
  phase: Phase;
  weight: number;
  cue: string;
  marks: number;
  unplaced: number;
  /** Marks where nobody has looked for it: in no rate either. */
  unlooked: number;
  /** What nobody has looked at for it: turns of which something was left out, and strokes that could have had it. */
  unlooked_turns: number;
  unlooked_strokes: number;
  /** The same in a few words, "" where all was looked at. */
  say: string;
  /** Out of what somebody has looked at; null where that is nothing, though there may be marks. */
  per_stroke: Share | null;
  per_minute: Pace | null;
  expected: Expected | null;
  trend: Trend | null;
}

export interface Streak {
  longest: number;
  current: number;
  /** 0 where no strokes are logged. */
  target: number;
  reached: boolean;
  turn_id: Id;
  clip_id: Id;
  frame: number;
}

/** Margins in seconds before the partner's next contact; negative is late. */
export interface Readiness {
  strokes: number;
  median: number;
  lower: number;
  upper: number;
  late: Share;
  late_strokes: Late[];
}

export interface Late {
  clip_id: Id;
  turn_id: Id;
  stroke_id: Id;
  frame: number;
  ready_frame: number;
  margin: number;
  /** A fault of getting ready hangs on it. */
  marked: boolean;
}

/** Strokes a minute over the turns; spread 0 is even. */
export interface Tempo {
  turns: number;
  median: number;
  lower: number;
  upper: number;
  spread: number;
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
  looked: Looked;
  streak: Streak;
  readiness: Readiness | null;
  tempo: Tempo | null;
  faults: FaultLine[];
}

export interface StrokePair {
  first: Share;
  second: Share;
  /** Second minus first. */
  difference: number;
  low: number;
  high: number;
  /** To tell whether the two differ: low is -1 and high 1. */
  too_few_turns: boolean;
}

/** Second over first; no upper end where the first has no mark. */
export interface MinutePair {
  first: Pace;
  second: Pace;
  ratio: number | null;
  low: number;
  high: number | null;
}

export type ComparisonKind = "method" | "side" | "block" | "period" | "player";

export interface Comparison {
  kind: ComparisonKind;
  first: string;
  second: string;
  fault_id: Id;
  code: string;
  label: string;
  strokes: StrokePair | null;
  minutes: MinutePair | null;
  test: Test | null;
}

export interface PhaseCount {
  phase: Phase;
  seen: number;
  of: number;
  marks: number;
}

export interface SessionFault {
  fault_id: Id;
  per_stroke: Share | null;
  per_minute: Pace | null;
}

export interface TrainingDay {
  date: Day;
  turns: number;
  strokes: number;
  good: number;
  longest: number;
  minutes: number;
  faults: SessionFault[];
}

export interface DrillHint {
  drill_id: Id;
  name: string;
  method: Method;
  rung: number;
  /** Its tries of today have come to the club's limit. */
  enough: boolean;
}

export interface Advice {
  fault_id: Id;
  code: string;
  label: string;
  phase: Phase;
  weight: number;
  cue: string;
  where: "irregular" | "regular" | "both" | "free" | "some";
  /** Which of the sentences in DEVELOPERS.md it is. */
  sentence: string;
  excess: number;
  trend: Direction;
  why: string;
  say: string;
  drills: DrillHint[];
}

export interface WorkOn {
  faults: Advice[];
  sentence: string;
  holds: boolean;
  move_up: DrillHint[];
  say: string;
  cautions: string[];
}

export interface Balance {
  regular: number;
  irregular: number;
  free: number;
  share: Share | null;
  wish: number;
  say: string;
}

export interface Try {
  date: Day;
  turn_id: Id;
  clip_id: Id;
  frame: number;
  strokes: number;
  longest: number;
  current: number;
  reached: boolean;
}

export interface Chance {
  good: number;
  strokes: number;
  target: number;
  turn: number;
  clean: number;
  in_turn: number;
  say: string;
}

export interface Rung {
  drill_id: Id;
  name: string;
  method: Method;
  rung: number;
  target: number;
  retired: boolean;
  passed: boolean;
  passed_on: Day;
  by: "turn" | "ruling" | "";
  coach_id: Id;
  reason: string;
  turn_id: Id;
  clip_id: Id;
  frame: number;
  tries: number;
  tries_today: number;
  enough: boolean;
  say: string;
  best: number;
  strokes: number;
  good: number;
  history: Try[];
  chance: Chance | null;
}

export interface Ladder {
  rungs: Rung[];
  next: Id;
  passed: number;
  of: number;
  assume: string;
  tries_cap: number;
}

export interface TurnBead {
  frame: number;
  side: Side;
  outcome: Outcome;
  faults: string[];
}

export interface TurnRow {
  turn_id: Id;
  clip_id: Id;
  drill_id: Id;
  date: Day;
  frame: number;
  target: number;
  longest: number;
  current: number;
  beads: TurnBead[];
}

export interface Sheet {
  /** "" for the team. */
  player_id: Id;
  name: string;
  all: Group;
  methods: Group[];
  drills: Group[];
  comparisons: Comparison[];
  phases: PhaseCount[];
  sessions: TrainingDay[];
  balance: Balance;
  ladder: Ladder | null;
  work_on: WorkOn | null;
  best: TurnRow | null;
  latest: TurnRow | null;
}

export interface Ranked {
  player_id: Id;
  x: number;
  /** Strokes, or minutes. */
  n: number;
  expected: Expected;
}

export interface Ranking {
  fault_id: Id;
  code: string;
  label: string;
  per_minute: boolean;
  fit: { players: number; mean: number; strength: number; how: "fitted" | "all alike" | "weak" | "" };
  players: Ranked[];
}

/** How many tests were corrected together; `over` says in words which. */
export interface Tested {
  tests: number;
  surviving: number;
  level: number;
  over: string;
}

export interface SummaryResult {
  from: Day;
  to: Day;
  split: Day;
  team: Sheet;
  players: Sheet[];
  rankings: Ranking[];
  tested: Tested;
}

/** One player in a list. */
export interface PlayerLine {
  player_id: Id;
  name: string;
  turns: number;
  /** Of its turns, not looked through for every fault in use. */
  unlooked: number;
  strokes: number;
  good: number;
  longest: number;
  /** 0 where no strokes are logged. */
  target: number;
  /** The fault seen most often. */
  most: { fault_id: Id; code: string; label: string; marks: number; x: number; n: number } | null;
  /** Codes, the most pressing first. */
  work_on: string[];
  passed: number;
  of: number;
  next: Id;
  /** Only those that were tried, or set by hand. */
  rungs: RungLine[];
}

export interface RungLine {
  drill_id: Id;
  target: number;
  passed: boolean;
  passed_on: Day;
  by: "turn" | "ruling" | "";
  best: number;
  tries: number;
}

/** The team, and a line a player. */
export interface Overview {
  from: Day;
  to: Day;
  split: Day;
  /** Without its sessions. */
  team: Sheet;
  players: PlayerLine[];
  /** Of all sessions of the library. */
  days: Day[];
  tested: Tested;
}

/** A player set against another, or against the rest of the club. */
export interface Versus {
  comparisons: Comparison[];
  tested: Tested;
}

/** A coach's word on a player's rung. */
export interface Ruling {
  id: Id;
  player_id: Id;
  drill_id: Id;
  coach_id: Id;
  date: Day;
  passed: boolean;
  reason: string;
}

/** What the club asks of its training. */
export interface Wishes {
  /** Tries a day at one rung, 0 for no limit. */
  tries_cap: number;
  /** Share of irregular strokes, 0 to 1. */
  irregular: number;
}
