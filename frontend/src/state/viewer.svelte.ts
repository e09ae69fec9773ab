import { frame as loadFrame, sound, times, AppError } from "../api";
import type { Id, OpenedClip } from "../domain";
import { Pictures } from "./pictures";
import { Soundtrack, wallClock, type Clock } from "./soundtrack";
import { Timeline } from "./timeline";

export const RATES: readonly number[] = [0.1, 0.25, 0.5, 1, 2];

/** Widths asked for: few, so that what the program has decoded is used again. */
const WIDTHS = [640, 960, 1280, 1920];

/**
 * The picture of one clip: which frame stands under the eye, stepping, playing.
 * `shown` is the frame on the canvas, always; `target` the one on its way.
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

  readonly seconds = $derived(this.timeline.seconds(Math.max(0, this.shown)));

  #pictures: Pictures<ImageBitmap>;
  #track: Soundtrack | null;
  #canvas: HTMLCanvasElement | null = null;
  #clock: Clock | null = null;
  #tick = 0;
  #width = 1280;
  #closed = false;
  #starting = 0;

  constructor(
    readonly clip: OpenedClip,
    private readonly tell: (sentence: string) => void,
  ) {
    const id = clip.clip.id;
    this.frames = clip.frames;
    this.#pictures = new Pictures<ImageBitmap>(
      clip.frames,
      (n, signal) => loadFrame(id, n, this.#width, signal),
      (n, picture) => this.#paint(n, picture),
      (_n, cause) => {
        this.trouble = AppError.from(cause).sentence;
        this.target = Math.max(0, this.shown);
      },
    );
    this.#track = clip.sound ? new Soundtrack((from, to, rate, signal) => sound(id, from, to, rate, signal), clip.clip.seconds) : null;
  }

  /** Reads the times of all frames known so far. */
  async readTimes(): Promise<void> {
    const id: Id = this.clip.clip.id;
    const t = await times(id);
    if (this.#closed) return;
    this.frames = Math.max(t.length, 1);
    const last = t.at(-1) ?? 0;
    const before = t.at(-2) ?? last;
    this.timeline = new Timeline(t, Math.max(this.clip.clip.seconds, 2 * last - before));
    this.#pictures.grow(t.length);
  }

  /** Takes the canvas to paint on; for {@attach}. */
  readonly attach = (canvas: HTMLCanvasElement): (() => void) => {
    this.#canvas = canvas;
    const fit = () => {
      const wish = canvas.clientWidth * devicePixelRatio;
      const width = WIDTHS.find((w) => w >= wish * 0.9) ?? 1920;
      if (width === this.#width) return;
      this.#width = width;
      this.#pictures.clear();
      this.#pictures.want(this.target);
    };
    fit();
    // A picture may have come before there was a canvas for it.
    this.#pictures.want(this.target);
    const watch = new ResizeObserver(fit);
    watch.observe(canvas);
    return () => {
      watch.disconnect();
      this.#canvas = null;
    };
  };

  #paint(n: number, picture: ImageBitmap): void {
    const canvas = this.#canvas;
    if (!canvas) return;
    // The picture is painted one to one; the page's style fits it to the screen.
    if (canvas.width !== picture.width || canvas.height !== picture.height) {
      canvas.width = picture.width;
      canvas.height = picture.height;
    }
    canvas.getContext("2d", { alpha: false })?.drawImage(picture, 0, 0);
    this.shown = n;
    this.trouble = "";
    if (this.playing) this.target = n;
  }

  /** Goes to frame n, or to the nearest that there is. */
  goTo(n: number): void {
    this.pause();
    const to = Math.max(0, Math.min(Math.round(n), this.frames - 1));
    const step = to < this.target ? -1 : 1;
    this.target = to;
    this.#pictures.want(to, step);
  }

  /** The frame that a key meant now speaks of. */
  get current(): number {
    return this.playing ? Math.max(0, this.shown) : this.target;
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
    if (this.target >= this.frames - 1) this.goTo(0);
    const mine = ++this.#starting;
    this.playing = true;
    const at = this.timeline.seconds(this.target);
    let clock: Clock | null = null;
    if (this.#track && this.rate <= 1) clock = await this.#track.start(at, this.rate);
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
      const at = this.timeline.seconds(Math.max(0, this.shown));
      clock.stop();
      this.#clock = wallClock(at, this.rate);
      this.tell("The sound has stopped on this machine: the picture goes on without it.");
    }
    const n = this.timeline.frameAt((this.#clock ?? clock).now());
    this.#pictures.follow(n, this.timeline.pace(n) * this.rate);
    if (n >= this.frames - 1) {
      this.pause();
      this.goTo(this.frames - 1);
      return;
    }
    this.#tick = requestAnimationFrame(this.#run);
  };

  /** Stops; the frame on the screen is the one that counts from now on. */
  pause(): void {
    if (!this.playing) return;
    this.#starting++;
    this.playing = false;
    cancelAnimationFrame(this.#tick);
    this.#clock?.stop();
    this.#clock = null;
    this.target = Math.max(0, this.shown);
    this.#pictures.want(this.target);
  }

  close(): void {
    this.pause();
    this.#closed = true;
    this.#pictures.close();
    this.#track?.close();
  }
}
