import type { Id, Mark } from "../api/domain";
import type { BenchCore, Entry } from "./core";
import { canOccur, turnAt } from "./turns";

/** The stroke before (-1) or after (1) the one that the selected mark hangs on, on which its fault can happen; else why there is none. */
export function hangNext(bench: BenchCore, selected: Entry | undefined, by: 1 | -1): { mark: Mark; stroke: Id; place: number } | string {
  if (selected?.kind !== "mark") return "Select a mark first: it can be hung on another stroke.";
  const mark = selected.row;
  const turn = turnAt(bench.ledger.turns, mark.frame);
  const logged = turn ? bench.strokesOf(turn) : [];
  const at = bench.holding?.place ?? -1;
  const sides = bench.app.faultOf.get(mark.fault_id)?.sides ?? "both";
  const rest = by > 0 ? logged.slice(at + 1) : logged.slice(0, Math.max(0, at)).toReversed();
  const next = rest.find((b) => canOccur(sides, b.side));
  if (!next) return `There is no stroke ${by > 0 ? "after" : "before"} it in this turn on which this fault can happen.`;
  return { mark, stroke: next.stroke.id, place: next.place };
}
