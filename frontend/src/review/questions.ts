// What the program asks about a mark that was just made.
import type { Fault, Id, Mark } from "../api/domain";
import type { BenchCore, Question } from "./core";
import { turnAt } from "./turns";

/** A key that came soon after a stroke may have been for the one before: which, where that may be. */
export function whichStroke(bench: BenchCore, made: Mark, other: Id, fault: Fault): Question | null {
  const turn = turnAt(bench.ledger.turns, made.frame);
  const before = turn && bench.strokesOf(turn).find((b) => b.stroke.id === other);
  const logged = bench.holding;
  if (!logged || !before) return null;
  return {
    text: `${fault.code} is on stroke ${logged.place + 1}. Or did you see it on stroke ${before.place + 1}?`,
    yes: `On stroke ${before.place + 1}`,
    accept: () => void bench.hangOn(made, other, `Saved: the mark hangs on stroke ${before.place + 1} now.`),
    no: "Leave it",
    refuse: () => bench.app.notify(`${fault.code} stays on stroke ${logged.place + 1}.`),
  };
}

/** A rate counts a fault on one stroke once: the same again may be a slip. */
export function twice(bench: BenchCore, made: Mark, fault: Fault): Question | null {
  const logged = bench.holding;
  const twins = logged?.marks.filter((m) => m.fault_id === made.fault_id && m.coach_id === made.coach_id).length ?? 0;
  if (!logged || twins < 2) return null;
  return {
    text: `${fault.code} is on stroke ${logged.place + 1} ${twins === 2 ? "twice" : `${twins} times`} now. The rate counts it once.`,
    yes: "Keep it",
    accept: () => bench.app.notify(`${fault.code} at ${bench.at(made.frame)} is kept.`),
    no: "Take it back",
    refuse: () => void bench.removeEntry({ kind: "mark", row: made }),
  };
}
