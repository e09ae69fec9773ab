interface Picture {
  close(): void;
}

interface Limits {
  /** Requests under way at once: three keep the decoder busy without queueing. */
  flight: number;
  /** Pictures cached: a few megabytes each. */
  cached: number;
  /** Pictures fetched ahead of the wanted one. */
  ahead: number;
}

/**
 * Caches and prefetches the pictures of one clip: the newest request first, then its
 * neighbours in the direction of travel, never more than a few requests at once. It
 * closes every picture that it evicts. `now` is in milliseconds.
 */
export class FrameCache<P extends Picture> {
  #cached = new Map<number, P>();
  #flight = new Map<number, AbortController>();
  #wanted = 0;
  #step = 1;
  #playing = false;
  #ahead = 0;
  #closed = false;
  #latency = 10;
  #failed = new Set<number>();
  #shown = -1;
  #prefetched = -1;

  constructor(
    private frames: number,
    private readonly load: (n: number, signal: AbortSignal) => Promise<P>,
    private readonly show: (n: number, picture: P) => void,
    private readonly fail: (n: number, cause: unknown) => void,
    private readonly limits: Limits = { flight: 3, cached: 16, ahead: 4 },
    private readonly now: () => number = () => performance.now(),
  ) {}

  /** More frames are known: the index goes on growing while a clip is scanned. */
  grow(frames: number): void {
    this.frames = frames;
  }

  get inFlight(): number {
    return this.#flight.size;
  }

  get size(): number {
    return this.#cached.size;
  }

  /** Shows frame n as soon as it is here; `step` is the direction of travel. */
  request(n: number, step = 1): void {
    this.#playing = false;
    this.#wanted = n;
    this.#step = step || 1;
    this.#failed.delete(n);
    const here = this.#cached.get(n);
    if (here) this.#paint(n, here);
    this.#fill();
  }

  /** As `request`, and forgets which pictures could not be fetched. */
  retry(n: number): void {
    this.#failed.clear();
    this.request(n);
  }

  /**
   * Follows a running clock that stands at frame n, `rate` frames a second: shows
   * the latest picture that is here and leaves out what cannot be had in time.
   */
  follow(n: number, rate: number): void {
    this.#playing = true;
    this.#wanted = n;
    // Nothing draws faster than 60 pictures a second.
    this.#step = Math.max(1, Math.round(rate / 60));
    // As many frames as pass while a picture is fetched; what is kept bounds it.
    this.#ahead = Math.min(Math.floor((this.#latency / 1000) * rate), (this.limits.cached - this.limits.ahead - 2) * this.#step);
    this.#paintLatest();
    this.#fill();
  }

  /** Fetches frame n, where playing will begin next, when the clock reaches it or stands still, and keeps it cached; -1 for none. */
  prefetch(n: number): void {
    this.#prefetched = n;
  }

  close(): void {
    this.#closed = true;
    for (const c of this.#flight.values()) c.abort();
    for (const p of this.#cached.values()) p.close();
    this.#cached.clear();
  }

  /** Evicts all pictures, for example to fetch them at another size. */
  clear(): void {
    for (const c of this.#flight.values()) c.abort();
    this.#flight.clear();
    for (const p of this.#cached.values()) p.close();
    this.#cached.clear();
    this.#failed.clear();
    this.#shown = -1;
  }

  #paint(n: number, picture: P): void {
    this.#shown = n;
    this.show(n, picture);
  }

  #paintLatest(): void {
    let best = -1;
    for (const n of this.#cached.keys()) if (n <= this.#wanted && n > best) best = n;
    // Time may have been set back: then the latest at or before it is right too.
    if (best >= 0 && (best > this.#shown || this.#shown > this.#wanted)) {
      const picture = this.#cached.get(best);
      if (picture) this.#paint(best, picture);
    }
  }

  #next(): number {
    const has = (n: number) => this.#cached.has(n) || this.#flight.has(n) || this.#failed.has(n);
    const soon = this.#prefetched >= 0 && this.#prefetched < this.frames && !has(this.#prefetched) ? this.#prefetched : -1;
    if (!this.#playing) {
      if (!has(this.#wanted)) return this.#wanted;
      if (soon >= 0) return soon;
      const step = Math.sign(this.#step);
      for (let i = 1; i <= this.limits.ahead; i++) {
        const n = this.#wanted + i * step;
        if (n >= 0 && n < this.frames && !has(n)) return n;
      }
      const back = this.#wanted - step;
      return back >= 0 && back < this.frames && !has(back) ? back : -1;
    }
    if (soon >= 0 && soon <= this.#wanted) return soon;
    const from = Math.ceil((this.#wanted + this.#ahead) / this.#step) * this.#step;
    for (let i = 0; i <= this.limits.ahead; i++) {
      const n = from + i * this.#step;
      if (n < this.frames && !has(n)) return n;
    }
    return -1;
  }

  #fill(): void {
    while (!this.#closed) {
      const n = this.#next();
      if (n < 0) return;
      if (this.#flight.size >= this.limits.flight) {
        // Only the newest request may cancel another: the one farthest from it.
        if (this.#playing || n !== this.#wanted) return;
        const far = [...this.#flight.keys()].reduce((a, b) => (Math.abs(b - n) > Math.abs(a - n) ? b : a));
        this.#flight.get(far)?.abort();
        this.#flight.delete(far);
      }
      void this.#fetch(n);
    }
  }

  async #fetch(n: number): Promise<void> {
    const control = new AbortController();
    this.#flight.set(n, control);
    const began = this.now();
    try {
      const picture = await this.load(n, control.signal);
      if (control.signal.aborted) {
        picture.close();
        return;
      }
      this.#flight.delete(n);
      this.#latency = 0.8 * this.#latency + 0.2 * (this.now() - began);
      this.#cached.set(n, picture);
      if (this.#playing) this.#paintLatest();
      else if (n === this.#wanted) this.#paint(n, picture);
      this.#evict();
    } catch (cause) {
      if (control.signal.aborted) return;
      this.#flight.delete(n);
      this.#failed.add(n);
      if (n === this.#wanted) this.fail(n, cause);
    }
    this.#fill();
  }

  /** Whether frame n would be fetched again at once if it were evicted. */
  #near(n: number): boolean {
    if (n === this.#prefetched) return true;
    if (this.#playing) return n >= this.#wanted && n <= this.#wanted + this.#ahead + (this.limits.ahead + 1) * this.#step;
    const along = (n - this.#wanted) * Math.sign(this.#step);
    return along >= -1 && along <= this.limits.ahead;
  }

  #evict(): void {
    const spare = [...this.#cached.keys()]
      .filter((n) => n !== this.#shown && !this.#near(n))
      .sort((a, b) => Math.abs(b - this.#wanted) - Math.abs(a - this.#wanted));
    for (const n of spare.slice(0, Math.max(0, this.#cached.size - this.limits.cached))) {
      this.#cached.get(n)?.close();
      this.#cached.delete(n);
    }
  }
}
