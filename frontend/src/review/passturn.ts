// One turn of a pass, as it is shown and spoken of.
import type { Id, PassStroke, PassTurn, PassSettings } from "../api/domain";
import { counted } from "../shared/timeline";
import { streak } from "./turns";

/** How a pass goes until a coach sets it. */
export const USUAL_SETTINGS: PassSettings = { before: 0.4, after: 0.6, rate: 1, loops: 1, run_on: true, sound: false, focus: [] };

/** The turn with one of its strokes changed. */
export function changed(turn: PassTurn, id: Id, change: Partial<PassStroke>): PassTurn {
  return { ...turn, strokes: turn.strokes.map((s) => (s.id === id ? { ...s, ...change } : s)) };
}

/** "12 strokes, 3 marks, streak 5". */
export function turnLine(turn: PassTurn, marks: number): string {
  const run = streak(turn.strokes.map((s) => s.outcome)).longest;
  return `${counted(turn.strokes.length, "stroke")}, ${counted(marks, "mark")}, streak ${run}`;
}
