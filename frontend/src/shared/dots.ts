/** One stroke in a row of dots. */
export interface Dot {
  /** Which stroke it is, among those of the row. */
  key: string;
  /** How it is spoken of: "frame 120", or with its day. */
  name: string;
  at: number;
  half: number;
  /** What a coach has said of it, "" where nobody has looked. */
  said: "marked" | "clean" | "";
  /** By the frame that a coach has set, not as the joints show. */
  byCoach?: boolean;
  /** Beyond the limit by more than its error. */
  suggested: boolean;
}

/** A row of dots is drawn this wide, and a dot this large, in units of its own. */
export const WIDTH = 300;
const RADIUS = 4;

/** From tick to tick of a row. */
export function tickOf({ from, to }: { from: number; to: number }): number {
  return to - from > 300 ? 100 : 10;
}

/** The stretch of values that a row shows: whole tens, or hundreds where they lie far apart, round all of them and the limit. */
export function scaleOf(dots: readonly Dot[], limit: number): { from: number; to: number } {
  const all = [...dots.map((d) => d.at), ...(limit > 0 ? [limit] : [])];
  if (all.length === 0) return { from: 0, to: 100 };
  const step = tickOf({ from: Math.min(...all), to: Math.max(...all) });
  return { from: (Math.floor(Math.min(...all) / step) - 1) * step, to: (Math.ceil(Math.max(...all) / step) + 1) * step };
}

export function across(value: number, { from, to }: { from: number; to: number }): number {
  return ((value - from) / (to - from)) * WIDTH;
}

/** The limit that lies at a place of the row: whole units, from 1 to 200, and no farther than the row shows. */
export function limitAt(x: number, { from, to }: { from: number; to: number }): number {
  const value = Math.round(from + (x / WIDTH) * (to - from));
  return Math.max(1, from, Math.min(200, to, value));
}

/** Each dot with its place, from the lowest value on: those that would cover each other are stacked, the first one lowest. */
export function stacked(dots: readonly Dot[], scale: { from: number; to: number }): (Dot & { x: number; level: number })[] {
  const placed: (Dot & { x: number; level: number })[] = [];
  const last: number[] = []; // where the last dot of each level lies
  for (const d of dots.toSorted((a, b) => a.at - b.at)) {
    const x = across(d.at, scale);
    let level = last.findIndex((o) => x - o >= 2 * RADIUS);
    if (level < 0) level = last.length;
    last[level] = x;
    placed.push({ ...d, x, level });
  }
  return placed;
}

/** What is said of a dot where it is reached by key or pointed at. */
export function spoken(d: Dot, unit: string): string {
  const said = { marked: "marked", clean: "looked at and clean", "": "not looked at" }[d.said];
  return `${d.name}: ${d.at.toFixed(0)} ${unit}, ${d.byCoach ? "by the coach's frame" : `give or take ${Math.max(1, d.half).toFixed(0)}`}, ${said}${d.suggested ? ", beyond the limit" : ""}`;
}
