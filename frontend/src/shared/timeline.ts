/** The clock of one clip: when each frame is shown, in seconds of clip time. */
export class Timeline {
  constructor(
    private readonly times: Float64Array,
    /** Where the last picture ends. */
    readonly end: number,
  ) {}

  get length(): number {
    return this.times.length;
  }

  /** Clip time of frame n; outside the clip, of the nearest frame. */
  seconds(n: number): number {
    if (this.times.length === 0) return 0;
    return this.times[Math.max(0, Math.min(n, this.times.length - 1))] ?? 0;
  }

  /** Clip time of a field of frame n: the second is half-way to the next frame. */
  fieldSeconds(n: number, field: number): number {
    const at = this.seconds(n);
    if (field !== 2) return at;
    return (at + (n + 1 < this.times.length ? this.seconds(n + 1) : this.end)) / 2;
  }

  /** The frame on show at that time: the last one that starts at or before it. */
  frameAt(seconds: number): number {
    let low = 0;
    let high = this.times.length;
    // A microsecond of grace, so that the time of a frame always finds that frame.
    const t = seconds + 1e-6;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.times[middle] ?? Infinity) <= t) low = middle + 1;
      else high = middle;
    }
    return Math.max(0, low - 1);
  }

  /** Frames a second round frame n: for pacing only, never for counting. */
  pace(n: number): number {
    const a = Math.max(0, n - 5);
    const b = Math.min(this.times.length - 1, n + 5);
    const span = this.seconds(b) - this.seconds(a);
    return span > 0 ? (b - a) / span : 25;
  }
}

const pad = (n: number, digits: number) => String(n).padStart(digits, "0");

/** Clip time with milliseconds: 0:03.040, 12:00.000, 1:02:03.004. */
export function clock(seconds: number): string {
  const sign = seconds < 0 ? "-" : "";
  const ms = Math.round(Math.abs(seconds) * 1000);
  const h = Math.floor(ms / 3_600_000);
  const m = Math.floor(ms / 60_000) % 60;
  const s = Math.floor(ms / 1000) % 60;
  const head = h > 0 ? `${h}:${pad(m, 2)}` : `${m}`;
  return `${sign}${head}:${pad(s, 2)}.${pad(ms % 1000, 3)}`;
}

/** "1 mark", "7 marks". */
export function counted(n: number, word: string): string {
  return `${thousands(n)} ${word}${n === 1 ? "" : "s"}`;
}

/** A large number as it is read: 10,000. */
export function thousands(n: number): string {
  return n.toLocaleString("en-GB");
}

/** A length to the second: 0:08, 1:02:03. */
export function length(seconds: number): string {
  const all = Math.max(0, Math.round(seconds));
  const h = Math.floor(all / 3600);
  const m = Math.floor(all / 60) % 60;
  const head = h > 0 ? `${h}:${pad(m, 2)}` : `${m}`;
  return `${head}:${pad(all % 60, 2)}`;
}
