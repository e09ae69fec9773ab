import { bench as program, pictures } from "../api/api";
import type { Fault, Id, Mark, OpenedClip, PairView, Stroke } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { AS_FILED, type Light } from "./framing.svelte";
import { Viewer } from "./viewer.svelte";

/** Where a side begins: a frame of a clip, and what is seen of it. */
export interface Start {
  clip: Id;
  frame: number;
  seen?: PairView;
}

/** One of two pictures beside each other: its clip, what is marked on it, how it is seen. */
export class BesideSide {
  marks = $state.raw<Mark[]>([]);
  strokes = $state.raw<Stroke[]>([]);
  /** Mirrored beside what is kept for the clip. */
  mirrored = $state(false);
  /** The mark with which a drawing goes. */
  selectedId = $state<Id>("");
  /** It shows nothing at the moment of the other. */
  dark = $state(false);
  readonly viewer: Viewer;
  readonly frame = $derived.by(() => Math.max(0, this.viewer.shown));
  readonly here = $derived(this.marks.filter((m) => m.frame === this.frame && (m.seen_id ?? "") === ""));
  #kept: Light = AS_FILED;

  private constructor(
    private readonly app: App,
    readonly opened: OpenedClip,
    second: boolean,
  ) {
    this.viewer = new Viewer(opened, (sentence) => app.notify(sentence), second);
  }

  /** The right one looks at a clip that is open a second time: two moments of one clip would keep its decoder running to and fro. */
  static async open(app: App, start: Start, right: boolean): Promise<BesideSide> {
    const side = new BesideSide(app, await program.open(start.clip), right);
    try {
      await Promise.all([side.viewer.readTimes(), side.reload()]);
      side.mirrored = start.seen?.mirror ?? false;
      side.#show();
      side.viewer.goTo(start.frame);
      if (start.seen) side.viewer.framing.look(start.seen);
    } catch (cause) {
      side.close();
      throw cause;
    }
    return side;
  }

  get id(): Id {
    return this.opened.clip.id;
  }

  /** Which part is seen, as pairs keep it. */
  get view(): PairView {
    return { ...this.viewer.framing.view, mirror: this.mirrored };
  }

  /** Reads anew what is kept of the clip. */
  async reload(): Promise<void> {
    const [ledger, light] = await Promise.all([program.ledger(this.id), pictures.of(this.id)]);
    this.marks = ledger.marks;
    this.strokes = ledger.strokes;
    this.#kept = light;
    this.#show();
  }

  mirror(): void {
    this.mirrored = !this.mirrored;
    this.#show();
  }

  /** A mirror of what is seen goes before the rotation, which then goes the other way. */
  #show(): void {
    const { mirror, rotation, ...rest } = this.#kept;
    this.viewer.framing.show(this.mirrored ? { ...rest, mirror: !mirror, rotation: (4 - rotation) % 4 } : { ...rest, mirror, rotation });
  }

  async mark(fault: Fault): Promise<void> {
    this.viewer.pause();
    const made = await this.app.write(
      () => program.addMark(this.id, this.viewer.target, fault.id),
      (m) => `Saved: ${fault.code} at frame ${m.frame}.`,
      { reread: () => this.reload() },
    );
    if (made) this.selectedId = made.id;
  }

  /** Goes to the next stroke that is logged (1), or the one before (-1). */
  toStroke(by: 1 | -1): boolean {
    const here = this.viewer.current;
    const frames = this.strokes.map((s) => s.frame).sort((a, b) => a - b);
    const to = by > 0 ? frames.find((f) => f > here) : frames.findLast((f) => f < here);
    if (to === undefined) return false;
    this.viewer.goTo(to);
    return true;
  }

  close(): void {
    this.viewer.close();
  }
}
