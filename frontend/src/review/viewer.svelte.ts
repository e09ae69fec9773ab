import { untrack } from "svelte";
import { bench, AppError, ownWindow } from "../api/api";
import type { Id, OpenedClip } from "../api/domain";
import { frameAddress, passing, stalledFor, sound, times } from "../api/media";
import { LateWatchdog, Retry, within, type Waiting } from "./latewatchdog";
import { Surface, widthFor, type LoadedImage } from "./surface";
import { Motion } from "./motion";
import { loopWrap, type Loop } from "./loop";
import { FrameCache } from "./framecache";
import { Framing, type Part } from "./framing.svelte";
import { Soundtrack, stood, wallClock, type Clock } from "./soundtrack";
import { Standstill } from "./standing";
import { Timeline } from "../shared/timeline";

/** The widest picture asked for, in pixels of the screen. */
const MAX_WIDTH = 1920;

/** Pictures of another size or part are requested this long after the last change, milliseconds. */
const RESIZE_DEBOUNCE = 150;
const ZOOM_DEBOUNCE = 50;

/** While a clip plays, `shown` is updated at most this often, milliseconds. */
const PUBLISH_EVERY = 80;

/**
 * The picture of one clip: which frame stands under the eye, stepping, playing.
 * `shown` is the frame on show, `target` the one on its way. While the clip
 * plays, `shown` follows a few times a second, so that drawing the page does not
 * keep pictures off the screen; `current` is always exact.
 */
export class Viewer {
  shown = $state(-1);
  target = $state(0);
  playing = $state(false);
  rate = $state(1);
  frames = $state(0);
  timeline = $state.raw(new Timeline(new Float64Array(), 0));
  /** Why there is no picture, "" where there is one. */
  trouble = $state("");
  /** What a picture that is late waits for. */
  waiting = $state<Waiting>("");
  /** The moment of an interlaced picture on show: 1 or 2, 0 for the whole picture. */
  field = $state(0);
  loop = $state.raw<Loop | null>(null);
  /** The file has more in it than is known. */
  grown = $state(false);

  /** Whether what lies over the picture is another on the second frame: that is told at once. */
  due: (a: number, b: number) => boolean = () => false;
  /** On which frames the picture stands still while the clip plays, as each layer over it says. */
  readonly stands = new Standstill();
  readonly seconds = $derived(this.timeline.fieldSeconds(Math.max(0, this.shown), this.field));

  /** Pictures are single fields: picture p of the store is field p % 2 of frame p / 2. */
  #fields = false;
  /** The frame on show. */
  #painted = -1;
  /** When `shown` was updated last. */
  #publishedAt = 0;
  /** The field on its way, 0 or 1. */
  #targetField = 0;

  readonly framing: Framing;
  readonly #surface: Surface;
  #cache: FrameCache<LoadedImage>;
  readonly #motion: Motion | null;
  #track: Soundtrack | null;
  #clock: Clock | null = null;
  #tick = 0;
  #width = 1280;
  #part: Part | null = null;
  /** Size, part and adjustment of the pictures that are asked for. */
  #fitted = "";
  #resting: ReturnType<typeof setTimeout> | undefined;
  /** Which opening of the file, and how much of it was known: pictures of another edition may differ. */
  readonly #opened = Date.now().toString(36);
  #edition = this.#opened;
  #closed = false;
  #starting = 0;
  /** Where a stretch that is played ends, and who waits for that. */
  #span: { last: number; done: (reached: boolean) => void } | null = null;
  #silent = false;
  #watchdog: LateWatchdog;
  readonly #retry = new Retry((p) => {
    if (!this.playing) this.#cache.retry(p);
  });
  /** Counts pauses: a playSpan that waits to begin gives up after one. */
  #stops = 0;

  constructor(
    readonly clip: OpenedClip,
    private readonly notify: (sentence: string) => void,
    private readonly second = false,
  ) {
    this.frames = clip.frames;
    this.framing = new Framing(clip, clip.adjusted);
    this.#surface = new Surface(this.framing);
    this.framing.changed = () => {
      this.#surface.refit();
      this.#refitAfter(ZOOM_DEBOUNCE);
    };
    this.#cache = new FrameCache<LoadedImage>(
      clip.frames,
      (p, signal) => {
        const [n, field] = this.#fields ? [p >> 1, (p & 1) + 1] : [p, 0];
        const { address, part } = this.#asked(n, field);
        return this.#surface.load(address, signal, part);
      },
      (p, picture) => this.#paint(p, picture),
      this.#failed,
    );
    this.#motion = ownWindow.shows()
      ? new Motion(clip.frames, (n) => this.#asked(n, 0), this.#surface, this.#painting, this.#failed)
      : null;
    this.#watchdog = new LateWatchdog(
      () => stalledFor(clip.clip.id),
      (waiting) => (this.waiting = waiting),
      (signal) => this.#passing(signal),
    );
    this.#track = clip.sound
      ? new Soundtrack((from, to, rate, signal) => sound(clip.clip.id, from, to, rate, signal), clip.clip.seconds)
      : null;
  }

  readonly #failed = (p: number, cause: unknown): void => {
    const trouble = AppError.from(cause);
    this.trouble = trouble.sentence;
    this.target = Math.max(0, this.shown);
    this.#watchdog.done();
    if (trouble.code === "slow") this.#retry.later(p);
  };

  /** Shows the picture that the decoder passes on its way to the one that is late. */
  async #passing(signal: AbortSignal): Promise<void> {
    if (this.playing || this.#fields) return;
    const n = await passing(this.#asked(this.target, 0).address, signal);
    const { address, part } = this.#asked(n, 0);
    const image = await this.#surface.load(address, signal, part);
    if (!signal.aborted) this.#surface.show(image);
    if (!signal.aborted) this.shown = this.#painted = n;
    image.close();
  }

  #asked(n: number, field: number): { address: string; part: Part | null } {
    const [width, part, edition, second] = [this.#width, this.#part, this.#edition, this.second];
    const { adjust } = this.framing;
    return { address: frameAddress(this.clip.clip.id, n, { width, field, edition, part, adjust, second }), part };
  }

  /** Reads the times of all frames known so far. */
  async readTimes(): Promise<void> {
    const id: Id = this.clip.clip.id;
    const t = await times(id);
    if (this.#closed) return;
    this.frames = Math.max(t.length, 1);
    this.#edition = `${this.#opened}-${t.length}`;
    const last = t.at(-1) ?? 0;
    const before = t.at(-2) ?? last;
    this.timeline = new Timeline(t, Math.max(this.clip.clip.seconds, 2 * last - before));
    this.#motion?.grow(t.length);
    this.#cache.grow(this.#fields ? 2 * t.length : t.length);
  }

  /** Takes the box to show pictures in; for {@attach}. */
  readonly attach = (box: HTMLElement): (() => void) => {
    this.#surface.attach(box);
    // Once: what is read here would attach the box anew with every step, and ask for
    // another picture than the one that a drive still owes.
    untrack(() => {
      this.#fit();
      this.#request();
    });
    const watch = new ResizeObserver(() => {
      this.#surface.refit();
      this.#refitAfter(RESIZE_DEBOUNCE);
    });
    watch.observe(box);
    return () => {
      watch.disconnect();
      clearTimeout(this.#resting);
      this.#surface.attach(null);
      this.#motion?.hide();
    };
  };

  #refitAfter(ms: number): void {
    clearTimeout(this.#resting);
    this.#resting = setTimeout(this.#fit, ms);
  }

  /** Asks for pictures of the size in which they are shown, and of the part that is seen. */
  readonly #fit = (): void => {
    const box = this.#surface.box;
    if (!box || box.width === 0) return;
    const { framing } = this;
    const part = framing.part();
    const width = part ? framing.partWidth(part) : widthFor(framing.size.width / framing.size.height, box, MAX_WIDTH);
    const fitted = JSON.stringify([width, part, framing.adjust]);
    if (fitted === this.#fitted) return;
    this.#fitted = fitted;
    this.#width = width;
    this.#part = part;
    this.#refetch();
  };

  /** Fetches all pictures anew. While the clip plays, the next one on the clock comes first, not one that was seen already. */
  #refetch(): void {
    this.#cache.clear();
    this.#motion?.clear();
    if (!this.playing) this.#request();
  }

  /** Asks for the picture on its way, once there is a box that says how large. */
  #request(step = 1): void {
    if (!this.#surface.box) return;
    this.#retry.cancel();
    this.#watchdog.expect();
    this.#cache.request(this.#fields ? 2 * this.target + this.#targetField : this.target, step);
  }

  /** Looks at whole pictures or at single fields from now on. */
  #useFields(fields: boolean): void {
    if (this.#fields === fields) return;
    this.#fields = fields;
    this.#targetField = 0;
    this.#cache.clear();
    this.#cache.grow(fields ? 2 * this.frames : this.frames);
  }

  #paint(p: number, image: LoadedImage): void {
    this.#surface.show(image);
    this.#motion?.hide();
    this.#painting(p);
  }

  /** A picture is on the screen. */
  readonly #painting = (p: number): void => {
    this.#watchdog.done();
    if (this.playing) this.#watchdog.expect();
    const back = p === this.#retry.picture;
    this.#retry.cancel();
    this.#painted = this.#fields ? p >> 1 : p;
    const now = performance.now();
    if (this.playing && now - this.#publishedAt < PUBLISH_EVERY && !this.due(this.shown, this.#painted)) return;
    this.#publishedAt = now;
    this.shown = this.#painted;
    this.field = this.#fields ? (p & 1) + 1 : 0;
    this.trouble = "";
    if (this.playing || back) this.target = this.shown;
  };

  /** Shows frame n in step with another clip that plays. */
  follow(n: number, rate: number): void {
    this.target = n;
    this.#cache.follow(n, this.timeline.pace(n) * rate);
  }

  /** Goes to frame n, or to the nearest that there is. */
  goTo(n: number): void {
    this.pause();
    const to = Math.max(0, Math.min(Math.round(n), this.frames - 1));
    const step = to < this.target ? -1 : 1;
    this.#useFields(false);
    this.target = to;
    this.#request(step);
  }

  /** Steps to the next moment (1) of an interlaced clip or to the one before (-1). */
  stepField(by: 1 | -1, repeat: boolean): void {
    const here = this.#fields ? 2 * this.shown + this.field - 1 : 2 * this.shown;
    const from = this.#fields ? 2 * this.target + this.#targetField : 2 * this.current;
    if (repeat && from !== here) return;
    this.pause();
    const to = Math.max(0, Math.min(from + by, 2 * this.frames - 1));
    this.#useFields(true);
    this.target = to >> 1;
    this.#targetField = to & 1;
    this.#request(by);
  }

  /** Looks whether the recording has grown. */
  async lookForMore(): Promise<void> {
    // A drive that does not answer says so with the next picture.
    this.grown = await bench.grown(this.clip.clip.id).catch(() => false);
  }

  /** Takes in what the recording has grown by. Pictures at its old end may have been cut short. */
  async readOn(): Promise<void> {
    await bench.readOn(this.clip.clip.id);
    this.grown = false;
    await this.readTimes();
    if (!this.#closed) this.#refetch();
  }

  /** The frame that a key meant now speaks of. */
  get current(): number {
    return this.playing ? Math.max(0, this.#painted) : this.target;
  }

  /**
   * Steps by so many frames. While a key is held the next step waits until the
   * picture of the last one is on the screen: nothing piles up.
   */
  step(by: number, repeat: boolean): void {
    if (repeat && this.shown !== this.target) return;
    this.goTo(this.current + by);
  }

  /** Steps by seconds of clip time. */
  skip(seconds: number, repeat: boolean): void {
    if (repeat && this.shown !== this.target) return;
    const from = this.current;
    let to = this.timeline.frameAt(this.timeline.seconds(from) + seconds);
    if (to === from) to += Math.sign(seconds);
    this.goTo(to);
  }

  setRate(rate: number): void {
    this.rate = rate;
    if (this.playing) {
      this.pause();
      void this.play();
    }
  }

  toggle(): void {
    if (this.playing) this.pause();
    else void this.play();
  }

  async play(): Promise<void> {
    if (this.frames < 2) return;
    this.#useFields(false);
    if (this.target >= this.frames - 1) this.goTo(0);
    const to = loopWrap(this.target, this.loop);
    if (to !== this.target) this.goTo(to);
    this.playing = true;
    await this.#start(this.target);
  }

  /**
   * Plays a stretch once, both frames included, with or without its sound. True when its
   * end is reached, false where it was stopped before. `next` is where the next stretch
   * will begin, -1 where that is not known.
   */
  async playSpan(first: number, last: number, sound: boolean, next: number): Promise<boolean> {
    this.goTo(first);
    this.#cache.prefetch(next);
    const [mine, to] = [this.#stops, this.target];
    // The picture is waited for, but a drive may be slow.
    await within(1500, () => this.#painted === to || this.target !== to || this.#closed);
    if (this.#closed || mine !== this.#stops) return false;
    return new Promise((done) => {
      this.#silent = !sound;
      this.#span = { last, done };
      this.playing = true;
      void this.#start(first, first - 1);
    });
  }

  /** Starts the clock at a frame; the picture has moved up to there, or, where a loop begins anew, not yet to it. */
  async #start(frame: number, passed = frame): Promise<void> {
    const mine = ++this.#starting;
    this.stands.from(passed);
    this.#clock?.stop();
    this.#clock = null;
    const at = this.timeline.seconds(frame);
    let clock: Clock | null = null;
    if (this.#track && this.rate <= 1 && !this.#silent) clock = await this.#track.start(at, this.rate);
    if (mine !== this.#starting || !this.playing || this.#closed) {
      clock?.stop();
      return;
    }
    this.#clock = clock ?? wallClock(at, this.rate);
    this.#tick = requestAnimationFrame(this.#run);
  }

  readonly #run = (): void => {
    const clock = this.#clock;
    if (!clock || !this.playing) return;
    if (clock.stalled()) {
      const at = this.timeline.seconds(Math.max(0, this.#painted));
      clock.stop();
      this.#clock = wallClock(at, this.rate);
      this.notify("The sound has stopped on this machine: the picture goes on without it.");
    }
    const n = this.timeline.frameAt((this.#clock ?? clock).now());
    const span = this.#span;
    const still = this.stands.at(Math.min(n, span?.last ?? this.loop?.last ?? n));
    if (still >= 0) {
      this.#clock = stood(this.#clock, this.timeline.seconds(still));
      this.#follow(still);
      if (this.stands.over(this.#painted)) void this.#start(still);
      else this.#tick = requestAnimationFrame(this.#run);
      return;
    }
    if (span && n >= span.last) {
      this.#follow(Math.min(span.last, this.frames - 1));
      this.#span = null;
      this.pause();
      span.done(true);
      return;
    }
    const loop = span ? null : this.loop;
    if (loop && (n > loop.last || (n >= this.frames - 1 && loop.last >= n))) {
      this.#follow(Math.min(n, loop.last));
      void this.#start(loop.first, loop.first - 1);
      return;
    }
    this.#follow(n);
    if (n >= this.frames - 1) {
      this.pause();
      this.goTo(this.frames - 1);
      return;
    }
    this.#tick = requestAnimationFrame(this.#run);
  };

  #follow(n: number): void {
    const pace = this.timeline.pace(n) * this.rate;
    if (!this.#motion?.follow(n, pace)) this.#cache.follow(n, pace);
  }

  /** Stops; the frame on the screen is the one that counts from now on. */
  pause(): void {
    this.#stops++;
    if (!this.playing) return;
    this.#starting++;
    this.playing = false;
    cancelAnimationFrame(this.#tick);
    this.#clock?.stop();
    this.#clock = null;
    this.shown = this.#painted;
    this.target = Math.max(0, this.shown);
    this.#request();
    this.#silent = false;
    this.#span?.done(false);
    this.#span = null;
  }

  close(): void {
    this.pause();
    this.#closed = true;
    this.#retry.cancel();
    this.#watchdog.done();
    this.#cache.close();
    this.#motion?.hide();
    this.#track?.close();
  }
}
