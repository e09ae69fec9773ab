// When a key that is pressed in a pass is for the stroke that is shown, and when it
// can only be for the one before.
import type { PassStroke } from "../api/domain";

/** Clip time of frames, and how long the coach takes to press a key. */
export interface PassClock {
  seconds: (frame: number) => number;
  /** Nobody reacts sooner than that, nor later than that, seconds. */
  fastest: number;
  slowest: number;
}

/** What is shown over and over: when it was shown first, seconds of the wall clock, and how often so far. */
export class Showing {
  over = Infinity;
  loops = 0;

  constructor(public began: number) {}

  ends(now: number): void {
    if (this.loops++ === 0) this.over = now;
  }

  /** Whether that is less than so many seconds into it, while it was shown first. */
  isBefore(at: number, seconds: number): boolean {
    return at < this.over && at - this.began < seconds;
  }
}

/** What screen and keyboard take between them at most, seconds (common practice, no source). */
const LATENCY = 0.1;

/**
 * The range of reactions round a coach's usual one: three quarters of it to two and a
 * half times, 0.3 to 1.0 s round 0.4 s (common practice, no source).
 */
export function clockOf(seconds: (frame: number) => number, reaction: number): PassClock {
  return { seconds, fastest: 0.75 * reaction, slowest: 2.5 * reaction };
}

/** How long after a stroke begins to be shown a frame of it is, seconds of the wall clock; 0 for what is before. */
function shownAfter(clock: PassClock, rate: number, stroke: PassStroke, frame: number): number {
  return Math.max(0, clock.seconds(frame) - clock.seconds(stroke.from)) / rate;
}

/** Whether a key for a fault of that phase, `since` seconds after a stroke or a turn without strokes began to be shown, is too early to be a reaction to it. */
export function isEarly(clock: PassClock, rate: number, stroke: PassStroke | undefined, phase: number, since: number): boolean {
  if (!stroke) return since < clock.fastest;
  return since < shownAfter(clock, rate, stroke, stroke.earliest[phase] ?? stroke.from) + clock.fastest;
}

/**
 * How long the last picture of a stroke stands before what follows is shown, so that a key
 * as slow as they come is still told from the fastest for that: for no fault that is
 * looked for may the two overlap. A turn without strokes follows from its beginning; where
 * nothing does, nobody is faster.
 */
export function grace(
  clock: PassClock,
  rate: number,
  stroke: PassStroke | undefined,
  follows: PassStroke | "a turn" | "nothing",
  phases: readonly number[],
): number {
  if (!stroke) return 0;
  const whole = shownAfter(clock, rate, stroke, stroke.to);
  let most = 0;
  for (const p of phases) {
    const latest = Math.min(whole, shownAfter(clock, rate, stroke, stroke.latest[p] ?? stroke.to));
    const first = typeof follows === "string" ? 0 : shownAfter(clock, rate, follows, follows.earliest[p] ?? follows.from);
    most = Math.max(most, latest + clock.slowest + LATENCY - whole - first - (follows === "nothing" ? 0 : clock.fastest));
  }
  return most;
}
