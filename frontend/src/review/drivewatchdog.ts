/** A picture is late after this many milliseconds. */
const LATE = 1000;

/** How often the drive is asked while a picture is late, milliseconds. */
const OFTEN = 500;

/** Reports while a picture is late because its drive does not answer. */
export class DriveWatchdog {
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** `stalledFor` is for how many seconds the drive has not answered; `report` says whether it is waited for. */
  constructor(
    private readonly stalledFor: () => Promise<number>,
    private readonly report: (waiting: boolean) => void,
  ) {}

  /** A picture was requested: starts the deadline. */
  expect(): void {
    this.#timer ??= setTimeout(() => void this.#look(), LATE);
  }

  /** It arrived, or was cancelled. */
  done(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.report(false);
  }

  async #look(): Promise<void> {
    const mine = this.#timer;
    const seconds = await this.stalledFor().catch(() => 0);
    if (mine === undefined || mine !== this.#timer) return;
    this.report(seconds * 1000 >= OFTEN);
    this.#timer = setTimeout(() => void this.#look(), OFTEN);
  }
}
