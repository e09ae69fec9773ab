import { AppError, ruler as program } from "../api/api";
import type { PicturePlace, RulerMeasured, RulerPlaced, RulerStretch, RulerView } from "../api/domain";
import { isolated } from "../shared/isolate";
import type { BenchCore } from "./core";

/** What can be dragged on the picture: a corner, the end of a net post, a point on the floor. */
export type Handle = { of: "corner" | "top" | "point"; at: number };

/** Corners before the posts, in the order in which they are asked for. */
export const CORNERS = 4;
export const POSTS = 2;

/** A corner that keys move is kept when no key has moved it for so long, milliseconds. */
const REST = 700;

/**
 * Lays the table as a ruler on the clip and measures on the floor by it. Clicks that are
 * being placed are here until there are enough of them; what is laid is in the ledger.
 */
export class Ruler {
  /** The tool is open: the picture takes clicks. */
  on = $state(false);
  /** The ruler of the clip, also while it is dragged; null where none is laid. */
  view = $state.raw<RulerView | null>(null);
  /** Corners, then posts, as far as they are clicked; null: none is being laid. */
  placing = $state.raw<readonly PicturePlace[] | null>(null);
  /** A ruler that the program proposes for this clip. */
  suggested = $state.raw<RulerView | null>(null);
  /** One or two points on the floor. */
  points = $state.raw<readonly PicturePlace[]>([]);
  measured = $state.raw<RulerMeasured | null>(null);
  /** Why what is dragged fits no table, "" where it does. */
  trouble = $state("");
  /** In which part of the clip it holds; null: not looked yet. */
  stretch = $state.raw<RulerStretch | null>(null);
  /** The program looks at pictures. */
  looking = $state(false);
  wide = $state(false);
  lines = $state(true);
  grid = $state(true);
  /** Pixels of the picture in one of the page: how exactly can be clicked. The layer sets it. */
  scale = 1;

  /** What is dragged, not kept yet. */
  #draft: RulerPlaced | null = null;
  #rest: ReturnType<typeof setTimeout> | undefined;
  /** Counts what was asked of the program, so that a late answer is let go. */
  #asked = 0;
  #trying = false;

  constructor(readonly bench: BenchCore) {
    const { flush } = bench.app;
    bench.app.flush = async () => {
      await flush();
      await this.keep();
    };
  }

  /** By how much a click may be off, pixels of the picture: two of the screen, and never less of the film. */
  get sd(): number {
    return 2 * Math.max(1, this.scale);
  }

  /** Which corner (0 to 3) or post (4, 5) is to be clicked next; -1: none. */
  readonly next = $derived(this.placing && this.placing.length < CORNERS + POSTS ? this.placing.length : -1);
  /** The places with a handle: those being placed, else those of the ruler as it is shown. */
  readonly corners = $derived<readonly PicturePlace[]>(this.placing ? this.placing.slice(0, CORNERS) : (this.view?.placed.corners ?? []));
  readonly tops = $derived<readonly PicturePlace[]>(this.placing ? this.placing.slice(CORNERS) : (this.view?.placed.tops ?? []));
  /** What is drawn: of the ruler, or of the one that is proposed. */
  readonly shown = $derived(this.placing ? this.suggested : this.view);

  toggle(): void {
    if (this.on) void this.leave();
    else void this.open();
  }

  async open(): Promise<void> {
    if (!this.bench.viewer) return;
    this.bench.viewer.pause();
    this.on = true;
    await this.refresh();
    if (this.on && !this.view) this.begin();
  }

  async leave(): Promise<void> {
    await this.keep();
    this.#clear();
  }

  /** Lets go of everything that belongs to the clip. */
  close(): void {
    void this.keep();
    this.#clear();
  }

  #clear(): void {
    this.#asked++;
    this.on = this.looking = false;
    this.view = this.placing = this.suggested = this.measured = this.stretch = null;
    this.points = [];
    this.trouble = "";
  }

  /** Reads what is laid: undo, or another program, may have changed it. */
  async refresh(): Promise<void> {
    const clip = this.bench.clip?.id;
    if (!this.on || !clip || this.#draft) return;
    const mine = ++this.#asked;
    await this.bench.app.attempt(async () => {
      const view = await program.read(clip);
      if (mine === this.#asked) this.#show(view);
    });
    if (mine === this.#asked && this.on && !this.view && !this.placing) this.begin();
  }

  #show(view: RulerView): void {
    this.view = view.laid ? view : null;
    this.wide = view.laid ? view.placed.wide : this.wide;
    this.trouble = "";
    if (view.laid) this.placing = this.suggested = null;
    void this.#measure();
    void this.#hold(view);
  }

  /** Looks whether the camera stands as it stood all through the clip. */
  async #hold(view: RulerView): Promise<void> {
    const clip = this.bench.clip?.id;
    this.stretch = null;
    if (!clip || !view.laid) return;
    try {
      const stretch = await program.holds(clip);
      if (this.view?.placed === view.placed) this.stretch = stretch;
    } catch (cause) {
      if (this.view?.placed === view.placed) this.bench.notify(AppError.from(cause).sentence, true);
    }
  }

  /** Asks for the corners, and looks meanwhile whether the program knows them. */
  begin(): void {
    this.placing = [];
    this.points = [];
    this.measured = this.suggested = null;
    void this.#suggest();
  }

  /** A ruler of the same session, else the table as it is found, while nothing is clicked. */
  async #suggest(): Promise<void> {
    const clip = this.bench.clip?.id;
    if (!clip) return;
    const frame = this.bench.frame;
    const mine = ++this.#asked;
    const here = () => mine === this.#asked && this.placing?.length === 0;
    this.looking = true;
    await this.bench.app.attempt(async () => {
      let found = await program.suggest(clip, frame);
      if (!found.laid && here()) found = await program.find(clip, frame);
      if (found.laid && here()) this.#propose(found);
    });
    if (mine === this.#asked) this.looking = false;
  }

  #propose(found: RulerView): void {
    this.suggested = found;
    this.bench.question = {
      text: found.from
        ? `The ruler of ${isolated(found.from)} fits this picture too.`
        : "The table was found: look whether the lines lie on it.",
      yes: "Use it",
      accept: () => void this.useSuggested(),
      no: "Click it myself",
      refuse: () => (this.suggested = null),
    };
  }

  async useSuggested(): Promise<void> {
    const found = this.suggested;
    if (found) await this.#lay({ ...found.placed, sd: this.sd }, true);
  }

  /** Lays the ruler anew. */
  async anew(): Promise<void> {
    await this.keep();
    this.begin();
  }

  /** Takes a click on the picture: a corner, a post, or a point to measure. */
  click(at: PicturePlace): void {
    if (!this.placing) {
      if (!this.view) return;
      this.points = this.points.length >= 2 ? [at] : [...this.points, at];
      void this.#measure();
      return;
    }
    if (this.next < 0) return;
    this.#dropSuggestion();
    this.placing = [...this.placing, at];
    if (this.next < 0) void this.finish();
  }

  #dropSuggestion(): void {
    if (this.suggested) this.bench.question = null;
    this.suggested = null;
  }

  /** The posts are not in sight, or what was dragged is right now. */
  async finish(): Promise<void> {
    const all = this.placing;
    if (!all || all.length < CORNERS) return;
    await this.#lay(
      { frame: this.bench.frame, corners: all.slice(0, CORNERS), tops: all.slice(CORNERS), wide: this.wide, sd: this.sd },
      true,
    );
  }

  /** Takes the last click back; false where there is none. */
  back(): boolean {
    if (this.placing && this.placing.length > 0) {
      this.placing = this.placing.slice(0, -1);
      this.trouble = "";
      return true;
    }
    if (this.points.length === 0) return false;
    this.points = this.points.slice(0, -1);
    void this.#measure();
    return true;
  }

  clearPoints(): void {
    this.points = [];
    this.measured = null;
  }

  /** Moves what has a handle; nothing is kept before `keep`. */
  move(handle: Handle, to: PicturePlace): void {
    if (handle.of === "point") {
      this.points = this.points.with(handle.at, to);
      void this.#measure();
      return;
    }
    if (this.placing) {
      this.placing = this.placing.with(handle.at + (handle.of === "top" ? CORNERS : 0), to);
      return;
    }
    const view = this.view;
    if (!view) return;
    const placed = { ...view.placed, sd: this.sd };
    if (handle.of === "corner") placed.corners = placed.corners.with(handle.at, to);
    else placed.tops = placed.tops.with(handle.at, to);
    this.view = { ...view, placed, say: "", snapped: false };
    this.#draft = placed;
    void this.#attempt();
  }

  /** Moves by keys: what moved is kept once the keys rest. */
  nudge(handle: Handle, dx: number, dy: number): void {
    const list = { corner: this.corners, top: this.tops, point: this.points }[handle.of];
    const at = list[handle.at];
    if (!at) return;
    this.move(handle, { x: at.x + dx, y: at.y + dy });
    clearTimeout(this.#rest);
    this.#rest = setTimeout(() => void this.keep(), REST);
  }

  /** Draws what is dragged: one question at a time, the newest last. */
  async #attempt(): Promise<void> {
    const clip = this.bench.clip?.id;
    if (this.#trying || !clip) return;
    this.#trying = true;
    try {
      while (this.#draft) {
        const asked: RulerPlaced = this.#draft;
        try {
          const view = await program.attempt(clip, asked);
          if (this.#draft && this.view) this.view = { ...view, placed: this.view.placed };
          this.trouble = "";
        } catch (cause) {
          this.trouble = AppError.from(cause).sentence;
        }
        if (this.#draft === asked) break;
      }
    } finally {
      this.#trying = false;
    }
  }

  /** Keeps what was dragged. */
  async keep(): Promise<void> {
    clearTimeout(this.#rest);
    const draft = this.#draft;
    this.#draft = null;
    if (draft) await this.#lay(draft, false);
  }

  /** Pulls the ruler onto the lines of the picture on show. */
  async pull(): Promise<void> {
    await this.keep();
    if (this.view) await this.#lay({ ...this.view.placed, frame: this.bench.frame, sd: this.sd }, true);
  }

  async setWide(wide: boolean): Promise<void> {
    this.wide = wide;
    await this.keep();
    if (this.view) await this.#lay({ ...this.view.placed, wide, sd: this.sd }, true);
  }

  /** Measures from the other end of the table, as its player sees it. */
  async otherEnd(): Promise<void> {
    await this.keep();
    const now = this.shown;
    if (!now) return;
    const [a, b, c, d] = now.placed.corners;
    if (a && b && c && d) await this.#lay({ ...now.placed, corners: [c, d, a, b], sd: this.sd }, true);
  }

  async remove(): Promise<void> {
    await this.keep();
    const done = await this.bench.write(
      (clip) => program.remove(clip).then(() => true),
      () => `The ruler is taken off. ${this.bench.app.keymap.cap("undo")} brings it back.`,
    );
    if (!done) return;
    this.view = null;
    this.begin();
  }

  async #lay(placed: RulerPlaced, pull: boolean): Promise<void> {
    const mine = ++this.#asked;
    this.looking = true;
    this.#dropSuggestion();
    const view = await this.bench.write(
      (clip) => program.lay(clip, placed, pull),
      (v) => (v.good ? "Saved: the ruler is laid." : `Saved. ${v.say}`),
    );
    if (mine !== this.#asked || !this.on) return;
    this.looking = false;
    if (view) this.#show(view);
    else this.trouble = this.bench.app.message.text;
  }

  /** Asks how far the points are from the lines. */
  async #measure(): Promise<void> {
    const clip = this.bench.clip?.id;
    const points = this.points;
    if (!clip || points.length === 0 || !this.view) {
      this.measured = null;
      return;
    }
    try {
      const measured = await program.measure(clip, points, this.sd);
      if (points === this.points) this.measured = measured;
    } catch (cause) {
      if (points === this.points) this.bench.notify(AppError.from(cause).sentence, true);
    }
  }
}
