import type { Likes } from "./likes.svelte";

const KEPT = "text";

/** The sizes that there are, percent of the usual one. */
const SIZES = [100, 110, 125, 150, 175, 200] as const;

/** How large everything written is, and with it what it stands in. */
export class TextSize {
  readonly percent = $derived.by(() => SIZES.find((s) => String(s) === this.likes.get(KEPT)) ?? 100);

  constructor(private readonly likes: Likes) {}

  /** Sets the nearest size and returns it. */
  set(percent: number): number {
    const next = SIZES.reduce((best, s) => (Math.abs(s - percent) < Math.abs(best - percent) ? s : best), 100);
    this.likes.keep(KEPT, next === 100 ? "" : String(next));
    return next;
  }

  step(by: 1 | -1): number {
    return this.set(SIZES[SIZES.findIndex((s) => s === this.percent) + by] ?? this.percent);
  }
}
