// What the summary's numbers are called on the screen, and the rows that its
// charts draw. Pure.
import type {
  Comparison,
  FaultLine,
  Group,
  Id,
  Ladder,
  Looked,
  Method,
  Pace,
  Phase,
  Rung,
  Share,
  Sheet,
  Slope,
  SummaryQuery,
  TrainingDay,
  Trend,
} from "../api/domain";
import { thousands } from "../shared/timeline";

export function groupKey(g: Group): string {
  if (g.kind === "drill") return `drill ${g.drill_id}`;
  return g.kind === "method" ? `method ${g.method}` : "all";
}

export function groupName(g: Group): string {
  return g.kind === "all" ? "All turns" : g.kind === "method" ? g.method : g.name;
}

/** Rounds halves up, as documents do: both are held against the same vectors. */
function fixed(v: number, digits: number): string {
  const scale = 10 ** digits;
  return (Math.floor(v * scale + 0.5 + 1e-9) / scale).toFixed(digits);
}

/** A share in hundredths. 0 and 100 stand only where it is whole: what comes near is "<1" or ">99". */
function percent(v: number, digits = 0): string {
  const text = fixed(v * 100, digits);
  const step = 10 ** -digits;
  if (v > 0 && text === fixed(0, digits)) return `<${fixed(step, digits)}`;
  if (v < 1 && text === fixed(100, digits)) return `>${fixed(100 - step, digits)}`;
  return text;
}

/** "13 %", or "<1 %". */
export const percentWords = (v: number): string => `${percent(v)} %`;

/** "7 of 52". */
export const ofWords = (s: { x: number; n: number }): string => `${thousands(s.x)} of ${thousands(s.n)}`;

/** How many decimals a percentage has, as in documents: more where its interval is so narrow that fewer would hide it. */
function decimals(low: number, high: number): number {
  const width = high - low;
  return width < 0.0004 ? 3 : width < 0.004 ? 2 : width < 0.04 ? 1 : 0;
}

/** Whether a share, or a rate a minute, has an interval. */
const known = (s: Pick<Share, "by">): boolean => s.by !== "none";

/** What a chart draws of a share: its interval, or the rate alone. */
export const reach = (s: Share): { low: number; high: number } => (known(s) ? { low: s.low, high: s.high } : { low: s.rate, high: s.rate });

/** "13 % (7–25)". */
export function rateWords(s: Share): string {
  if (!known(s)) return `${percent(s.rate)} %, no interval: too few turns`;
  const digits = decimals(s.low, s.high);
  const [rate, low, high] = [s.rate, s.low, s.high].map((v) => percent(v, digits));
  return `${rate} % (${low}–${high})`;
}

/** "7 of 52 strokes, 13 % (7–25)". */
export const shareWords = (s: Share): string => `${ofWords(s)} ${s.n === 1 ? "stroke" : "strokes"}, ${rateWords(s)}`;

/** decimals for a rate a minute, or a ratio of two. */
function paceDecimals(low: number, high: number): number {
  const width = high - low;
  return width < 0.004 ? 4 : width < 0.04 ? 3 : width < 0.4 ? 2 : 1;
}

/** A number that is nought only where it is. */
function above(v: number, digits: number): string {
  const text = fixed(v, digits);
  return v > 0 && text === fixed(0, digits) ? `<${fixed(10 ** -digits, digits)}` : text;
}

/** "1.2 a minute (0.4–2.8)". */
export function minuteWords(p: Pace): string {
  if (!known(p)) return `${above(p.rate, 1)} a minute, no interval: too few turns`;
  const [rate, low, high] = [p.rate, p.low, p.high].map((v) => above(v, paceDecimals(p.low, p.high)));
  return `${rate} a minute (${low}–${high})`;
}

/** "5 in 4.2 min, 1.2 a minute (0.4–2.8)". */
export const paceWords = (p: Pace): string => `${thousands(p.x)} in ${p.minutes.toFixed(1)} min, ${minuteWords(p)}`;

/** A number with a true minus sign, and a plus where it grows. */
function signed(v: number, digits: number): string {
  const text = fixed(Math.abs(v), digits);
  if (Number(text) === 0) return text;
  return `${v < 0 ? "−" : "+"}${text}`;
}

/** A slope with its interval, as in documents: where no decimals are needed, one below ten nevertheless. */
export function slopeWords(s: Slope): string {
  const digits = decimals(s.low / 100, s.high / 100);
  const [at, from, to] = [s.per_month, s.low, s.high].map((v) => signed(v, digits === 0 && Math.abs(v) < 9.95 ? 1 : digits));
  return `${at} points a month (${from}\u00a0to\u00a0${to})`;
}

/** What a trend says: "getting better, −4.1 points a month (−7.0 to −1.2)". */
export function trendWords(t: Trend | null): string {
  if (!t) return "";
  if (t.too_few_turns) return `too early to tell over ${t.sessions} sessions: too few turns to know how far days differ by chance`;
  if (t.direction === "too early to tell") {
    return `too early to tell: ${t.sessions} of the 3 sessions that it takes`;
  }
  const because = t.test?.because ? `; ${t.test.because}` : "";
  return t.slope ? `${t.direction}, ${slopeWords(t.slope)}${because}` : t.direction;
}

/** A sign beside a trend's words. */
export function trendSign(t: Trend | null): string {
  return t ? { "getting worse": "↗", "getting better": "↘", "no change shown": "→", "too early to tell": "…" }[t.direction] : "";
}

/** "+33 points (10 to 53)" for a difference, "2.1 times (0.8 to 5.6)" for a ratio. */
export function comparisonWords(c: Comparison): string {
  if (c.strokes) {
    const { difference: d, low, high, too_few_turns } = c.strokes;
    if (too_few_turns) return `${signed(d * 100, 0)} points, no interval`;
    const [at, from, to] = [d, low, high].map((v) => signed(v * 100, decimals(low, high)));
    return `${at} points (${from} to ${to})`;
  }
  if (!c.minutes) return "";
  const m = c.minutes;
  if (m.too_few_turns) return m.first.rate > 0 ? `${above(m.second.rate / m.first.rate, 1)} times, no interval` : "no interval";
  if (m.ratio === null || m.high === null) return `at least ${above(m.low, paceDecimals(0, m.low))} times`;
  const [ratio, low, high] = [m.ratio, m.low, m.high].map((v) => above(v, paceDecimals(m.low, m.high ?? m.low)));
  return `${ratio} times (${low} to ${high})`;
}

/** How a moment of being ready lies to the partner's next contact, under a heading that says so. */
export function marginShort(seconds: number): string {
  const text = Math.abs(seconds).toFixed(2);
  if (Number(text) === 0) return "just in time";
  return `${text} s ${seconds < 0 ? "late" : "in time"}`;
}

/** Nobody has looked for the fault where it could have been seen: its marks are in no rate, and none says nothing. */
export function nobodyLooked(f: Pick<FaultLine, "per_stroke" | "per_minute" | "say">): boolean {
  return f.per_stroke === null && f.per_minute === null && f.say !== "";
}

/** A sentence in three parts: what stands before its number, the number, and the rest. */
export function aroundLeft(looked: Looked): [before: string, left: string, after: string] {
  const at = looked.left === "" ? -1 : looked.say.indexOf(looked.left);
  if (at < 0) return [looked.say, "", ""];
  return [looked.say.slice(0, at), looked.left, looked.say.slice(at + looked.left.length)];
}

/** What is said of faults without marks: which were looked for and not seen, whether in part only, and which nobody has looked for. */
export function unmarked(faults: readonly FaultLine[]): { notSeen: string[]; inPart: boolean; notLooked: string[] } {
  const without = faults.filter((f) => f.marks === 0);
  const looked = without.filter((f) => !nobodyLooked(f));
  return {
    notSeen: looked.map((f) => f.code),
    inPart: looked.some((f) => f.say !== ""),
    notLooked: without.filter(nobodyLooked).map((f) => f.code),
  };
}

/** One interval of the chart of rates: a fault in the turns of one method. */
export interface RatePoint extends Share {
  fault: Id;
  code: string;
  label: string;
  method: Method;
}

/** Rates per stroke, the most frequent faults first, by method. */
export function ratePoints(sheet: Sheet, most = 10): RatePoint[] {
  const seen = sheet.all.faults.filter((f) => f.marks > 0 && f.per_stroke).slice(0, most);
  return seen.flatMap((f) =>
    sheet.methods.flatMap((g) => {
      const share = lineOf(g, f.fault_id)?.per_stroke;
      return share && share.n > 0 ? [{ ...share, fault: f.fault_id, code: f.code, label: f.label, method: g.method }] : [];
    }),
  );
}

function lineOf(g: Group, fault: Id): FaultLine | undefined {
  return g.faults.find((f) => f.fault_id === fault);
}

/** One cell of the grid of faults and drills. */
export interface Cell {
  drill: Group;
  line: FaultLine | undefined;
  /** The rate that shades it, drawn towards the club's; null without strokes. */
  rate: number | null;
}

interface GridRow {
  fault: FaultLine;
  cells: Cell[];
}

/** Faults with a mark by drills in order of the ladder; `top` is the highest rate. */
export function grid(sheet: Sheet): { rows: GridRow[]; top: number } {
  const rows = sheet.all.faults
    .filter((f) => f.marks > 0)
    .map((fault) => ({
      fault,
      cells: sheet.drills.map((drill): Cell => {
        const line = lineOf(drill, fault.fault_id);
        const share = line?.per_stroke;
        return { drill, line, rate: share && share.n > 0 ? (line.expected?.rate ?? share.rate) : null };
      }),
    }));
  const top = Math.max(0.01, ...rows.flatMap((r) => r.cells.map((c) => c.rate ?? 0)));
  return { rows, top };
}

/** How dark a cell is, 0 to 1. */
export function shade(rate: number, top: number): number {
  return Math.min(1, Math.max(0, rate) / top);
}

/** One training day of one fault. */
export interface DayPoint extends Share {
  date: string;
}

/** A fault's rate on each training day that could have shown it. */
export function dayPoints(days: readonly TrainingDay[], fault: Id): DayPoint[] {
  return days.flatMap((d) => {
    const share = d.faults.find((f) => f.fault_id === fault)?.per_stroke;
    return share && share.n > 0 ? [{ ...share, date: d.date }] : [];
  });
}

/** Where a rung of a ladder stands, in a few words. */
export function rungWords(r: Pick<Rung, "by" | "passed" | "passed_on" | "tries" | "best" | "target">): string {
  if (r.by === "ruling") return r.passed ? `passed ${r.passed_on}, set by hand` : "not passed, set by hand";
  if (r.passed) return `passed ${r.passed_on}`;
  return r.tries === 0 ? "not tried yet" : `best ${r.best} of ${r.target}`;
}

/** The rung that a player is at: tried last and not passed, else the next one. */
export function rungAt(l: Ladder): Rung | undefined {
  const last = (r: Rung) => r.history.at(-1)?.date ?? "";
  const open = l.rungs.filter((r) => !r.passed && !r.retired && r.tries > 0);
  return (
    open.toSorted((a, b) => last(a).localeCompare(last(b)) || a.rung - b.rung).at(-1) ??
    l.rungs.find((r) => r.drill_id === l.next) ??
    l.rungs.at(-1)
  );
}

/** Narrows a query to what one number counts: whose, where, when. */
export function narrowed(q: SummaryQuery, player: Id, group?: Pick<Group, "kind" | "method" | "drill_id">, day = ""): SummaryQuery {
  return {
    ...q,
    players: player === "" ? q.players : [player],
    drills: group?.kind === "drill" ? [group.drill_id] : q.drills,
    methods: group?.kind === "method" ? [group.method] : q.methods,
    from: day || q.from,
    to: day || q.to,
  };
}

/** The stations of a stroke with how often a fault sits there. */
interface Station {
  phase: Phase;
  seen: number;
  of: number;
  share: number;
  /** All of its marks, those that hang on no stroke and those that repeat another too. */
  marks: number;
}

export function stations(sheet: Sheet): Station[] {
  return sheet.phases.map((p) => ({ phase: p.phase, seen: p.seen, of: p.of, share: p.of > 0 ? p.seen / p.of : 0, marks: p.marks }));
}
