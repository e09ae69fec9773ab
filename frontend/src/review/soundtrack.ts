// Clocks for playing: the sound's own where there is sound, else the machine's.

/** A running clock in seconds of clip time. */
export interface Clock {
  now(): number;
  /** True where the clock stands still though it should run. */
  stalled(): boolean;
  stop(): void;
}

/** Runs on the machine's clock from `at`, `rate` clip seconds a second. */
export function wallClock(at: number, rate: number): Clock {
  const began = performance.now();
  return {
    now: () => at + ((performance.now() - began) / 1000) * rate,
    stalled: () => false,
    stop: () => {},
  };
}

/** In the place of a clock that is stopped, one that stands still, as the picture does. */
export function stood(clock: Clock | null, at: number): Clock {
  clock?.stop();
  return { now: () => at, stalled: () => false, stop: () => {} };
}

type Load = (from: number, to: number, rate: number, signal: AbortSignal) => Promise<{ first: number; samples: Float32Array<ArrayBuffer> }>;

const RATE = 48000;
/** Seconds of clip time in one piece. */
const PIECE = 2;
/** Seconds of output scheduled ahead. */
const AHEAD = 3;

/** Plays a clip's sound piece by piece; slower means lower, as on tape. */
export class Soundtrack {
  #context: AudioContext | null = null;
  /** This machine has let no sound out so far: do not wait for it again. */
  #mute = false;

  constructor(
    private readonly load: Load,
    private readonly end: number,
  ) {}

  /**
   * Starts at clip time `at`. Resolves to null where no sound can be heard on
   * this machine: then the caller takes the wall clock. Call it from a key or a
   * click, else the window keeps sound off.
   */
  async start(at: number, rate: number): Promise<Clock | null> {
    this.#context ??= new AudioContext({ sampleRate: RATE });
    const context = this.#context;
    const stopped = new AbortController();
    const within = (ms: number) => new Promise<void>((done) => setTimeout(done, ms));
    let piece;
    try {
      [piece] = await Promise.all([
        this.load(at, Math.min(at + PIECE, this.end), RATE, stopped.signal),
        Promise.race([context.resume(), within(this.#mute ? 0 : 300)]),
      ]);
    } catch {
      return null;
    }
    this.#mute = context.state !== "running";
    if (this.#mute) return null;

    // `zero` is the output time at which clip time `at` is heard.
    const zero = context.currentTime + 0.06;
    const sources = new Set<AudioBufferSourceNode>();
    let scheduled = at;
    const put = (p: { first: number; samples: Float32Array<ArrayBuffer> }) => {
      if (p.samples.length === 0) return;
      const buffer = context.createBuffer(1, p.samples.length, RATE);
      buffer.copyToChannel(p.samples, 0);
      const source = context.createBufferSource();
      source.buffer = buffer;
      source.playbackRate.value = rate;
      source.connect(context.destination);
      const when = zero + (p.first - at) / rate;
      if (when >= context.currentTime) source.start(when);
      else source.start(0, (context.currentTime - when) * rate);
      sources.add(source);
      source.onended = () => sources.delete(source);
    };
    put(piece);
    scheduled = Math.min(at + PIECE, this.end);

    let loading = false;
    const feed = async () => {
      if (loading || stopped.signal.aborted) return;
      loading = true;
      try {
        while (scheduled < this.end && (scheduled - at) / rate < context.currentTime - zero + AHEAD) {
          const from = scheduled;
          const to = Math.min(from + PIECE, this.end);
          const next = await this.load(from, to, RATE, stopped.signal);
          if (stopped.signal.aborted) return;
          put(next);
          scheduled = to;
        }
      } catch {
        // Silence from here on; the clock goes on and the picture with it.
        scheduled = this.end;
      } finally {
        loading = false;
      }
    };
    void feed();
    const timer = setInterval(() => void feed(), 250);

    let lastTime = context.currentTime;
    let movedAt = performance.now();
    return {
      now: () => {
        const heard = context.currentTime - (context.outputLatency || 0) - zero;
        return at + Math.max(0, heard) * rate;
      },
      stalled: () => {
        if (context.currentTime !== lastTime) {
          lastTime = context.currentTime;
          movedAt = performance.now();
        }
        return performance.now() - movedAt > 500;
      },
      stop: () => {
        stopped.abort();
        clearInterval(timer);
        for (const s of sources) s.stop();
        sources.clear();
        void context.suspend();
      },
    };
  }

  close(): void {
    void this.#context?.close();
    this.#context = null;
  }
}
