import type { AgreementLine, Decided, Disagreement, Figure, OlderMarks, SecondLook } from "../api/domain";

/** "0.62 (0.41–0.78)", or "0.62" where there is no interval, "" where there is nothing. */
export function figure(f: Figure | null): string {
  if (!f) return "";
  const range = f.range ? ` (${f.range.low.toFixed(2)}–${f.range.high.toFixed(2)})` : "";
  return f.value.toFixed(2) + range;
}

/** "94 %". */
export function percent(f: Figure | null): string {
  return f ? `${Math.round(100 * f.value)} %` : "";
}

/** "3 frames later (60 ms), middle half 2 to 4", "" where nothing was said by both. */
export function apart(line: AgreementLine): string {
  const { frames, millis } = line;
  if (!frames || !millis) return "";
  const n = Math.round(Math.abs(frames.median));
  const when = n === 0 ? "at the same frame" : `${n} ${n === 1 ? "frame" : "frames"} ${frames.median > 0 ? "later" : "sooner"}`;
  return `${when} (${Math.round(millis.median)} ms), middle half ${Math.round(frames.low)} to ${Math.round(frames.high)}`;
}

/** What each decision leads to, as its key says. */
export const CHOICES = [
  { choice: "both", action: "settleBoth", say: () => "Both are right" },
  { choice: "first", action: "settleFirst", say: (first) => `Only ${first}` },
  { choice: "second", action: "settleSecond", say: (_, second) => `Only ${second}` },
  { choice: "neither", action: "settleNeither", say: () => "Neither" },
  { choice: "another", action: "settleAnother", say: () => "Another fault…" },
] as const satisfies readonly { choice: Decided; action: string; say: (first: string, second: string) => string }[];

/** The next stroke that is not settled, after a place, round the list; the same place where all are. */
export function nextOpen(list: readonly Disagreement[], settled: ReadonlySet<string>, at: number): number {
  for (let i = 1; i <= list.length; i++) {
    const next = (at + i) % list.length;
    const d = list[next];
    if (d && !settled.has(d.stroke_id)) return next;
  }
  return at;
}

/** "goes on, 3 of 12 turns are left", "finished on 2026-11-29". */
export function stateOf(look: SecondLook): string {
  if (look.finished) return `finished on ${look.finished.slice(0, 10)}`;
  return look.is_mine ? `goes on, ${look.left.length} of ${look.turns.length} turns are left` : "goes on";
}

/** What can be said of marks from before a change of a definition. */
export const OLDER = [
  { older: "same", word: "Yes, they mean the same", say: "Older marks still mean the same." },
  { older: "other", word: "No: only marks from now on compare", say: "Only marks since then compare." },
  { older: "unknown", word: "Cannot say", say: "Nobody can say whether older marks mean the same." },
] as const satisfies readonly { older: OlderMarks; word: string; say: string }[];

export function olderSay(older: OlderMarks): string {
  return OLDER.find((o) => o.older === older)?.say ?? "";
}
