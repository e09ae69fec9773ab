import type { Dot } from "./measuring.svelte";

/** A row of dots is drawn this wide, and a dot this large, in units of its own. */
export const WIDTH = 300;
const RADIUS = 4;

/** The stretch of values that a row shows: whole tens round all of them and the limit. */
export function scaleOf(dots: readonly Dot[], limit: number): { from: number; to: number } {
  const all = [...dots.map((d) => d.at), ...(limit > 0 ? [limit] : [])];
  if (all.length === 0) return { from: 0, to: 100 };
  const from = Math.floor(Math.min(...all) / 10) * 10 - 10;
  const to = Math.ceil(Math.max(...all) / 10) * 10 + 10;
  return { from, to };
}

export function across(value: number, { from, to }: { from: number; to: number }): number {
  return ((value - from) / (to - from)) * WIDTH;
}

/** Each dot with its place: those that would cover each other are stacked, the first one lowest. */
export function stacked(dots: readonly Dot[], scale: { from: number; to: number }): (Dot & { x: number; level: number })[] {
  const placed: (Dot & { x: number; level: number })[] = [];
  for (const d of dots.toSorted((a, b) => a.at - b.at)) {
    const x = across(d.at, scale);
    let level = 0;
    while (placed.some((o) => o.level === level && x - o.x < 2 * RADIUS)) level++;
    placed.push({ ...d, x, level });
  }
  return placed;
}
