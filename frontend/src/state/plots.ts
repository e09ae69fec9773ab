// What all charts share: their ink, their type, and how regular and irregular
// turns are told apart, by shape first and by colour second.
import type { Method } from "../domain";

export const LOOK = { fontFamily: "var(--face)", fontSize: "15px", background: "transparent", color: "var(--ink)", overflow: "visible" };

const SHAPES: readonly { method: Method; ink: string; symbol: "circle" | "diamond2" | "square" }[] = [
  { method: "regular", ink: "var(--regular)", symbol: "circle" },
  { method: "irregular", ink: "var(--irregular)", symbol: "diamond2" },
  { method: "free", ink: "var(--ink-soft)", symbol: "square" },
];

export const COLOURS = { domain: SHAPES.map((s) => s.method), range: SHAPES.map((s) => s.ink) };
export const SYMBOLS = { domain: SHAPES.map((s) => s.method), range: SHAPES.map((s) => s.symbol) };
