// What all charts share: their ink, their type, and how regular and irregular
// turns are told apart, by shape first and by colour second.
import type { Method } from "../api/domain";

export const LOOK = { fontFamily: "var(--face)", fontSize: "15px", background: "transparent", color: "var(--ink)", overflow: "visible" };

/** How much room the longest of some texts takes in a chart, in pixels: a letter is half as wide as high, and a little more. */
export const roomFor = (texts: readonly string[], size = 15): number =>
  Math.ceil(0.56 * size * Math.max(0, ...texts.map((t) => [...t].length)));

/** A text that has to do with so many pixels. */
export function within(text: string, room: number, size = 15): string {
  const letters = [...text];
  const most = Math.max(1, Math.floor(room / (0.56 * size)));
  return letters.length > most ? `${letters.slice(0, most - 1).join("")}…` : text;
}

const SHAPES: readonly { method: Method; ink: string; symbol: "circle" | "diamond2" | "square" }[] = [
  { method: "regular", ink: "var(--regular)", symbol: "circle" },
  { method: "irregular", ink: "var(--irregular)", symbol: "diamond2" },
  { method: "free", ink: "var(--ink-soft)", symbol: "square" },
];

export const COLOURS = { domain: SHAPES.map((s) => s.method), range: SHAPES.map((s) => s.ink) };
export const SYMBOLS = { domain: SHAPES.map((s) => s.method), range: SHAPES.map((s) => s.symbol) };
