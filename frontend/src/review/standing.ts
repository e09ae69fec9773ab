/** How long a picture that moves stands still on a frame on which something is drawn on it alone, seconds: Stand of internal/picture, as in films. */
const STAND = 0.8;
/** A picture that is not there by then is not waited for, seconds. */
const LONGEST = 3;

/** The first frame after one, up to another, on which a picture that moves stands still; -1 where it stands on none. */
type Stands = (after: number, to: number) => number;

/** Of frames on which something is drawn on them alone. */
export function standsOn(frames: Iterable<number>): Stands {
  const all = [...frames].sort((a, b) => a - b);
  return (after, to) => all.find((n) => after < n && n <= to) ?? -1;
}

/** Where a picture that moves stands still, as those say who know what is drawn on it. */
export class Standstill {
  readonly #told = new Set<Stands>();
  /** The frame up to which the picture has moved. */
  #passed = -1;
  #on = -1;
  #began = 0;
  #seen = -1;

  constructor(private readonly now = () => performance.now() / 1000) {}

  add(stands: Stands): void {
    this.#told.add(stands);
  }

  delete(stands: Stands): void {
    this.#told.delete(stands);
  }

  /** The first frame after one, up to another, on which it stands; Infinity where it stands on none. */
  first(after: number, to: number): number {
    return Math.min(...[...this.#told].map((stands) => stands(after, to)).filter((n) => n >= 0), Infinity);
  }

  /** The picture moves from here on. */
  from(passed: number): void {
    this.#passed = passed;
    this.#on = -1;
  }

  /** The frame on which the picture stands still when it has come to n, -1 where it moves on. */
  at(n: number): number {
    if (this.#on >= 0) return this.#on;
    const first = this.first(this.#passed, n);
    this.#passed = Math.max(this.#passed, n);
    if (first === Infinity) return -1;
    [this.#began, this.#seen] = [this.now(), -1];
    return (this.#on = first);
  }

  /** For how long it has stood where it is seen to stand, seconds. */
  stood(): number {
    return this.#on >= 0 && this.#seen >= 0 ? this.now() - this.#seen : 0;
  }

  /** Whether it has stood long enough, counted from when it is seen; `painted` is the frame on the screen. */
  over(painted: number): boolean {
    if (painted === this.#on && this.#seen < 0) this.#seen = this.now();
    return (this.#seen >= 0 && this.now() - this.#seen >= STAND) || this.now() - this.#began >= LONGEST;
  }
}
