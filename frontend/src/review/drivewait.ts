/** A picture is late after so long, milliseconds. */
const LATE = 1000;

/** How often the drive is looked at while a picture is late, milliseconds. */
const OFTEN = 500;

/** Finds out whether it is the drive that a late picture waits for. */
export class DriveWait {
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** `owed` is for how many seconds the drive has not answered; `tell` says whether it is waited for. */
  constructor(
    private readonly owed: () => Promise<number>,
    private readonly tell: (waiting: boolean) => void,
  ) {}

  /** A picture is on its way. */
  expect(): void {
    this.#timer ??= setTimeout(() => void this.#look(), LATE);
  }

  /** It is here, or nobody waits for it any longer. */
  done(): void {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.tell(false);
  }

  async #look(): Promise<void> {
    const mine = this.#timer;
    const seconds = await this.owed().catch(() => 0);
    if (mine === undefined || mine !== this.#timer) return;
    this.tell(seconds * 1000 >= OFTEN);
    this.#timer = setTimeout(() => void this.#look(), OFTEN);
  }
}
