import type { Fault } from "../api/domain";

/** So many good presses are measured. */
export const PRESSES = 12;
/** The pause before each label, ms: random each time, so that a rhythm does not help. */
export const PAUSE = { least: 800, most: 2000 };
/** What comes sooner, ms, was pressed before the label was read (the limit for false starts in athletics, World Athletics Technical Rules 16). */
const ANTICIPATED = 100;
/** The usual reaction, and the longest that a coach can have, seconds: as in the program's club.Coach. */
export const USUAL = 0.4;
const LONGEST = 3;

/** The value that a share of sorted values lies under, between the two nearest where it is none of them. */
export function quantile(sorted: readonly number[], share: number): number {
  const at = (sorted.length - 1) * share;
  const low = sorted[Math.floor(at)] ?? 0;
  const high = sorted[Math.ceil(at)] ?? low;
  return low + (high - low) * (at - Math.floor(at));
}

/** What time and chance are to the exercise. */
export interface Clockwork {
  now: () => number;
  random: () => number;
  /** Does something later, after so many ms; the returned function keeps it from being done. */
  after: (ms: number, work: () => void) => () => void;
  /** Does something when what was just shown is painted. */
  painted: (work: () => void) => void;
}

const CLOCKWORK: Clockwork = {
  now: () => performance.now(),
  random: Math.random,
  after: (ms, work) => {
    const timer = setTimeout(work, ms);
    return () => clearTimeout(timer);
  },
  painted: (work) => requestAnimationFrame(work),
};

/**
 * How long a coach takes from seeing to pressing: after a pause one of the team's
 * faults is shown, and its key is to be pressed. Choosing among several keys takes
 * longer than pressing the only one (Hick WE (1952) Q J Exp Psychol 4:11-26), so it
 * is measured with all the keys that the team uses.
 */
export class Reaction {
  stage = $state<"before" | "pause" | "shown" | "done">("before");
  fault = $state.raw<Fault | null>(null);
  /** What went wrong with the last press, "" for nothing. */
  message = $state("");
  /** Good presses so far, seconds, the quickest first. */
  times = $state.raw<readonly number[]>([]);

  readonly median = $derived(Math.min(LONGEST, Math.round(100 * quantile(this.times, 0.5)) / 100));
  readonly low = $derived(quantile(this.times, 0.25));
  readonly high = $derived(quantile(this.times, 0.75));

  readonly #faults: readonly Fault[];
  /** When the label was painted, -1 before. */
  #since = -1;
  #stop = () => {};

  constructor(
    faults: readonly Fault[],
    private readonly clockwork: Clockwork = CLOCKWORK,
  ) {
    this.#faults = faults.filter((f) => f.key !== "" && !f.retired);
  }

  /** Whether there is anything to choose among. */
  get possible(): boolean {
    return this.#faults.length > 1;
  }

  begin(): void {
    if (!this.possible) return;
    this.times = [];
    this.message = "";
    this.#pause();
  }

  /** Ends it whatever stage it is in. */
  end(): void {
    this.#stop();
    this.stage = "before";
    this.fault = null;
  }

  #pause(): void {
    this.#stop();
    this.fault = null;
    this.stage = "pause";
    const { random, after } = this.clockwork;
    this.#stop = after(PAUSE.least + random() * (PAUSE.most - PAUSE.least), () => this.#show());
  }

  #show(): void {
    const fault = this.#faults[Math.min(this.#faults.length - 1, Math.floor(this.clockwork.random() * this.#faults.length))] ?? null;
    this.fault = fault;
    this.stage = "shown";
    this.#since = -1;
    this.clockwork.painted(() => {
      if (this.fault === fault) this.#since = this.clockwork.now();
    });
  }

  /** A key was pressed, at that moment on the clock. */
  press(key: string, at = this.clockwork.now()): void {
    if (this.stage === "pause") {
      this.#again("Too early: wait for the fault.");
      return;
    }
    if (this.stage !== "shown" || !this.fault) return;
    const ms = this.#since < 0 ? 0 : at - this.#since;
    if (ms < ANTICIPATED) {
      this.#again("Too early: that was pressed before the fault could be read.");
    } else if (key !== this.fault.key) {
      this.#again(`That was “${key}”: the key of ${this.fault.code} is “${this.fault.key}”.`);
    } else {
      this.message = "";
      this.times = [...this.times, ms / 1000].toSorted((a, b) => a - b);
      if (this.times.length < PRESSES) this.#pause();
      else {
        this.end();
        this.stage = "done";
      }
    }
  }

  /** A press that does not count is repeated, with another pause and a fault drawn anew. */
  #again(say: string): void {
    this.message = say;
    this.#pause();
  }
}
