// What was written to go to: a frame by its number, or a time of the clip.

/** A time as a clock or a number of seconds: "1:23", "0:12.5", "12.5", "12 s". NaN where it is none. */
function secondsOf(text: string): number {
  const parts = /^(?:(\d+):)?(?:(\d+):)?(\d+(?:[.,]\d*)?)\s*(s?)$/.exec(text.trim());
  if (!parts) return NaN;
  const [, first, second, last = "", unit] = parts;
  if (first === undefined && unit === "" && !/[.,]/.test(last)) return NaN; // the number of a frame
  return [first, second, last.replace(",", ".")].filter((p) => p !== undefined).reduce((sum, p) => 60 * sum + Number(p), 0);
}

/** The frame that is meant; null for what is neither, or lies outside the clip. */
export function frameWritten(text: string, frames: number, end: number, frameAt: (seconds: number) => number): number | null {
  if (/^\s*\d+\s*$/.test(text)) return Number(text) < frames ? Number(text) : null;
  const at = secondsOf(text);
  return at <= end ? frameAt(at) : null;
}
