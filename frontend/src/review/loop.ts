import type { Turn } from "../api/domain";

/** How fast a clip plays, of its own speed. */
export const RATES: readonly number[] = [0.1, 0.25, 0.5, 1, 2];

/** A stretch that is played over and over, both frames included. */
export interface Loop {
  first: number;
  last: number;
}

/** A loop from here on: to its old end where that comes later, else to the end of the clip. */
export function loopFrom(frame: number, old: Loop | null, frames: number): Loop {
  return { first: frame, last: old && old.last > frame ? old.last : frames - 1 };
}

/** A loop up to here: from its old start where that comes earlier, else from the start of the clip. */
export function loopTo(frame: number, old: Loop | null): Loop {
  return { first: old && old.first < frame ? old.first : 0, last: frame };
}

/** The loop over a turn, or none where that is looped already. */
export function loopOver(turn: Turn, old: Loop | null): Loop | null {
  return old?.first === turn.first && old.last === turn.last ? null : { first: turn.first, last: turn.last };
}

/** Where playing goes on after frame n: at the start of the loop once past its end, or before it. */
export function loopWrap(n: number, loop: Loop | null): number {
  return loop && (n > loop.last || n < loop.first) ? loop.first : n;
}
