import type { Fault, Measure } from "../api/domain";

/** What a measure is called over its row of dots or its table. */
export const TITLES: Record<Measure, string> = {
  feet: "Feet from the end line, cm",
  elbow: "Elbow below the shoulder, % of the trunk",
  hand: "Hand above the hips on the way back, % of the trunk",
  ready: "About: hand back before the partner's contact, ms",
};

/** What stands behind a number of it. */
export const UNITS: Record<Measure, string> = { feet: "cm", elbow: "% of the trunk", hand: "% of the trunk", ready: "ms" };

/** Why a clip may have nothing of it, though its strokes were looked at. */
export const MISSING: Record<Measure, string> = {
  feet: "Not measured: it takes a ruler whose lines fit well, and feet in sight.",
  elbow: "Not told: the elbow is not plainly in sight. Film from behind, on the side of the racket arm.",
  hand: "Not measured: the joints are not in sight.",
  ready: "Cannot be told: it takes the partner's contact, a wrist that is mostly in sight, and a turn of three strokes and more.",
};

/** The faults among some that go with a measure. */
export function faultsOf(measure: Measure, faults: readonly Fault[]): Fault[] {
  return faults.filter((f) => f.measure === measure);
}

/** What a coach has said of a stroke, of the fault whose strokes a row tells apart. */
export function saidOf(s: { marked: readonly string[]; clean: readonly string[] }, fault: Fault | undefined): "marked" | "clean" | "" {
  if (!fault) return "";
  return s.marked.includes(fault.id) ? "marked" : s.clean.includes(fault.id) ? "clean" : "";
}

/** The fault by which a row tells strokes apart: its own, and for the margin that of a hand that comes back late. */
export function toldBy(measure: Measure, own: Fault | null | undefined, faults: readonly Fault[]): Fault | undefined {
  return own ?? (measure === "ready" ? faultsOf("hand", faults)[0] : undefined);
}
