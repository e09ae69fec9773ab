// Rules of turns, as the program derives them too (internal/club/testdata/rules.json holds
// both): nothing here is stored.
import type { Ledger, Mark, Outcome, Side, Sides, Stroke, Turn } from "../api/domain";
import type { Proposal } from "../api/domain";

export function covers(t: Turn, frame: number): boolean {
  return t.first <= frame && frame <= t.last;
}

/** The turn that covers the frame; turns of one clip never overlap. */
export function turnAt(turns: readonly Turn[], frame: number): Turn | undefined {
  return turns.find((t) => covers(t, frame));
}

/** Side of the i-th stroke as the drill's pattern says; "" in a free one. */
export function patternSide(pattern: string, i: number): Side {
  if (pattern === "" || i < 0) return "";
  return pattern[i % pattern.length] === "B" ? "backhand" : "forehand";
}

export interface LoggedStroke {
  stroke: Stroke;
  /** Place in the turn, counted from 0. */
  place: number;
  side: Side;
  /** True where a coach set the side, false where the pattern says it. */
  sideSet: boolean;
  marks: Mark[];
}

/** Longest run of good strokes, and the run that stands at the end. */
export function streak(outcomes: readonly Outcome[]): { longest: number; current: number } {
  let longest = 0;
  let current = 0;
  for (const o of outcomes) {
    current = o === "good" ? current + 1 : 0;
    longest = Math.max(longest, current);
  }
  return { longest, current };
}

/** Whether a fault of these sides could have happened on a stroke of that side. */
export function canOccur(sides: Sides, side: Side): boolean {
  return sides === "both" || side === "" || sides === side;
}

/** The logged strokes of one turn, each with the marks that hang on it: on which, the program says. */
export function loggedStrokes(turn: Turn, ledger: Pick<Ledger, "strokes" | "marks" | "hangs_on">, pattern: string): LoggedStroke[] {
  const logged = ledger.strokes
    .filter((s) => covers(turn, s.frame))
    .map((stroke, place): LoggedStroke => {
      const set = stroke.side ?? "";
      return { stroke, place, side: set || patternSide(pattern, place), sideSet: set !== "", marks: [] };
    });
  const byStroke = new Map(logged.map((b) => [b.stroke.id, b]));
  for (const m of ledger.marks) byStroke.get(ledger.hangs_on[m.id] ?? "")?.marks.push(m);
  return logged;
}

/** The stroke at the frame or the last one before it. */
export function strokeBefore(strokes: readonly Stroke[], frame: number): Stroke | undefined {
  return strokes.findLast((s) => s.frame <= frame);
}

/** A stroke that is logged, or one that is only heard. */
export type RowStroke = { frame: number; side: Side; outcome: Outcome } & (
  { logged: LoggedStroke; proposal?: undefined } | { proposal: Proposal; logged?: undefined }
);

/** Logged and proposed strokes of a turn in order of frame. */
export function strokeRow(logged: readonly LoggedStroke[], proposals: readonly Proposal[]): RowStroke[] {
  const all: RowStroke[] = [
    ...logged.map((logged): RowStroke => ({ frame: logged.stroke.frame, side: logged.side, outcome: logged.stroke.outcome, logged })),
    ...proposals.map((proposal): RowStroke => ({ frame: proposal.frame, side: proposal.side, outcome: proposal.outcome, proposal })),
  ];
  return all.sort((a, b) => a.frame - b.frame);
}

/** How long before the partner's next contact the player was ready again, seconds; negative is late. */
export function margin(s: Stroke, seconds: (frame: number) => number): number | undefined {
  if (!s.ready || s.answer === null || s.answer === undefined) return undefined;
  return s.answer - seconds(s.ready.frame);
}

/** A margin in a sentence, as a coach says it. */
export function marginWords(m: number): string {
  const n = Math.abs(m).toFixed(2);
  if (n === "0.00") return "ready just as the partner strikes";
  return m < 0 ? `${n} s late` : `ready ${n} s before the partner's contact`;
}

/** What `]` makes of the start that `[` has set; `cap` names keys as the coach has them. */
export function endTurn(
  start: number | null,
  end: number,
  cap: (id: "turnStart" | "turnEnd") => string,
): { first: number; last: number } | { say: string } {
  const [from, to] = [cap("turnStart"), cap("turnEnd")];
  if (start === null) return { say: `Press ${from} at the first frame of the turn, then ${to} at its last.` };
  if (end < start) return { say: `The turn starts at frame ${start}, after this frame: go on to its end, or press ${from} again here.` };
  return { first: start, last: end };
}
