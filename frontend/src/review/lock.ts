import type { Timeline } from "../shared/timeline";

/** A clip's clock, as far as two are held together. */
export type Clock = Pick<Timeline, "length" | "seconds" | "frameAt" | "end">;

/** Two moments that are no further apart are one, seconds. */
const MOMENT = 1e-6;

/**
 * Which frames of two clips are the same moment, and how many seconds of the other clip's
 * clock pass in one of the first: 1 but for clips that play slower than they were filmed.
 */
export interface Lock {
  frame: number;
  other: number;
  pace: number;
}

/**
 * The frame of `other` that is shown nearest to when frame n of `lead` is, the earlier of
 * two as near; -1 where it shows nothing then. It is exact at any picture rate, also where
 * it varies, and does not depend on how n was reached. `picture.Lock` is the same in films.
 */
export function beside(lock: Lock, lead: Clock, other: Clock, n: number): number {
  if (lead.length === 0 || other.length === 0) return -1;
  const at = other.seconds(lock.other) + lock.pace * (lead.seconds(n) - lead.seconds(lock.frame));
  if (at < other.seconds(0) - MOMENT || at > other.end - MOMENT) return -1;
  const k = other.frameAt(at);
  return k + 1 < other.length && other.seconds(k + 1) - at < at - other.seconds(k) - MOMENT ? k + 1 : k;
}

/** The lock as the other clip has it. */
export function turned({ frame, other, pace }: Lock): Lock {
  return { frame: other, other: frame, pace: 1 / pace };
}
