/** A picture is late after this many milliseconds. */
const LATE = 200;

/** The drive is asked after so many milliseconds. */
const VERY_LATE = 1000;

/** How often the drive is asked from then on, milliseconds. */
const OFTEN = 500;

/** What a late picture waits for: to be decoded, or for its drive to answer. */
export type Waiting = "" | "decoder" | "drive";

/** Reports while a picture is late, and has something else shown meanwhile. */
export class LateWatchdog {
  #timer: ReturnType<typeof setTimeout> | undefined;
  #control = new AbortController();

  /**
   * `stalledFor` is for how many seconds the drive has not answered; `report` says what is
   * waited for; `meanwhile` shows a picture on the way, again and again.
   */
  constructor(
    private readonly stalledFor: () => Promise<number>,
    private readonly report: (waiting: Waiting) => void,
    private readonly meanwhile: (signal: AbortSignal) => Promise<void>,
  ) {}

  /** A picture was requested: starts the deadline. */
  expect(): void {
    this.#timer ??= setTimeout(() => this.#late(), LATE);
  }

  /** It arrived, or was cancelled. */
  done(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.#control.abort();
    this.report("");
  }

  #late(): void {
    this.report("decoder");
    this.#timer = setTimeout(() => void this.#look(), VERY_LATE - LATE);
    this.#control = new AbortController();
    void this.#show(this.#control.signal);
  }

  async #show(signal: AbortSignal): Promise<void> {
    try {
      while (!signal.aborted) {
        await this.meanwhile(signal);
        await new Promise((next) => setTimeout(next, LATE));
      }
    } catch {
      return; // the picture itself says what is wrong
    }
  }

  async #look(): Promise<void> {
    const mine = this.#timer;
    const seconds = await this.stalledFor().catch(() => 0);
    if (mine === undefined || mine !== this.#timer) return;
    this.report(seconds * 1000 >= OFTEN ? "drive" : "decoder");
    this.#timer = setTimeout(() => void this.#look(), OFTEN);
  }
}

/** A picture is requested again this often while its drive does not answer, milliseconds. */
const RETRY_EVERY = 2000;

/** Has a picture requested again until the drive answers, unless another is requested. */
export class Retry {
  /** The one that is requested again, -1 none. */
  picture = -1;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly again: (picture: number) => void) {}

  later(picture: number): void {
    this.cancel();
    this.picture = picture;
    this.#timer = setTimeout(() => this.again(picture), RETRY_EVERY);
  }

  cancel(): void {
    clearTimeout(this.#timer);
    this.picture = -1;
  }
}

/** Waits until something is so, at most so many milliseconds. */
export async function within(ms: number, done: () => boolean): Promise<void> {
  const end = performance.now() + ms;
  while (!done() && performance.now() < end) await new Promise((next) => requestAnimationFrame(next));
}
