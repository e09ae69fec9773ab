// Letters that are written from right to left, and the control characters that
// say so (Unicode UAX #9).
const TURNS = /[\u0590-\u08ff\u200f\u202a-\u202e\u2066-\u2069\ufb1d-\ufdff\ufe70-\ufeff\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;

/** A name in a sentence that the page puts together: one that is written from right to left turns nothing beside it. In markup use <bdi>. */
export function isolated(text: string): string {
  return TURNS.test(text) ? `\u2068${text.replace(/[\u2066-\u2069]/g, "")}\u2069` : text;
}
