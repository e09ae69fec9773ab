import { bench as program, cameras } from "../api/api";
import type { CameraGroup, CameraView, Id, Mark, OpenedClip } from "../api/domain";
import type { Place } from "../shared/app.svelte";
import { isolated } from "../shared/isolate";
import type { BenchCore } from "./core";
import { Viewer } from "./viewer.svelte";

const ALONE: CameraGroup = { main_id: "", main_name: "", views: [], own: false };

/**
 * The other cameras that show the same minutes as the clip on the bench. The bench has the
 * clip that keeps the entries, its frames and its clock; another camera's picture may be
 * shown in place of its own, and follows it.
 */
export class Cameras {
  group = $state.raw<CameraGroup>(ALONE);
  /** The picture of another camera that is shown; null: the clip's own. */
  shown = $state.raw<Viewer | null>(null);
  /** The dialog about them is open. */
  asked = $state(false);

  readonly view = $derived<CameraView | undefined>(this.group.views.find((v) => v.clip_id === this.shown?.clip.clip.id));
  /** The clip whose picture is shown, "" for the bench's own. */
  readonly seen = $derived<Id>(this.view?.clip_id ?? "");
  /** The other camera does not show this moment. */
  readonly dark = $derived.by(() => this.shown !== null && this.at(this.bench.frame) < 0);

  /** Those that were opened, by clip. */
  #open = new Map<Id, Viewer>();
  #asked = 0;

  constructor(private readonly bench: BenchCore) {}

  /** Where to look at a place of a clip that was opened, as another one keeps its entries; null: at the clip itself. */
  async leading(opened: OpenedClip, place: Place): Promise<Place | null> {
    const { main_id, own } = opened.cameras;
    if (main_id === "" || main_id === place.clip || own || place.entry) return null;
    if (place.frame < 0) return { clip: main_id, frame: -1 };
    const kept = await cameras.kept(place.clip, place.frame);
    return kept.seen_id ? { clip: kept.clip_id, frame: kept.frame } : null;
  }

  /** Takes the cameras of the clip on the bench. */
  take(group: CameraGroup): void {
    this.group = group;
  }

  /** Reads anew what is lined up with the clip on the bench. */
  async refresh(): Promise<void> {
    const id = this.bench.clip?.id;
    if (!id) return;
    const group = await cameras.of(id).catch(() => this.group); // the other cameras are an extra: the clip works without
    if (this.bench.clip?.id !== id) return;
    this.group = group;
    if (!this.view) this.shown = null;
  }

  close(): void {
    this.#asked++;
    for (const viewer of this.#open.values()) viewer.close();
    this.#open.clear();
    this.shown = null;
    this.asked = false;
    this.group = ALONE;
  }

  /** The next camera, and after the last one the clip's own picture. */
  next(): void {
    const { main_id, views } = this.group;
    if (main_id === "") {
      this.bench.notify("No other camera is lined up with this clip: look for them under Sessions.");
      return;
    }
    if (this.bench.clip?.id !== main_id) return;
    const here = views.findIndex((v) => v.clip_id === this.seen);
    void this.show(views[here + 1]?.clip_id ?? "");
  }

  /** Shows the picture of a camera, "" for the clip's own. */
  async show(id: Id): Promise<void> {
    const mine = ++this.#asked;
    if (id === "" || id === this.bench.clip?.id) {
      this.shown = null;
      return;
    }
    let viewer = this.#open.get(id);
    if (!viewer) {
      const ok = await this.bench.app.attempt(async () => {
        const opened = await program.open(id);
        if (mine !== this.#asked) return;
        viewer = new Viewer(opened, (sentence) => this.bench.notify(sentence));
        this.#open.set(id, viewer);
        await viewer.readTimes();
      });
      if (!ok || mine !== this.#asked) return;
    }
    if (viewer) this.shown = viewer;
  }

  /** Shows a mark as it was seen. */
  see(mark: Mark): void {
    const seen = mark.seen_id ?? "";
    if (seen !== this.seen && (seen === "" || this.group.views.some((v) => v.clip_id === seen))) void this.show(seen);
  }

  /** The other camera's frame at a frame of the clip on the bench, -1 where it shows none. */
  at(frame: number): number {
    const { shown, view } = this;
    const main = this.bench.viewer;
    if (!shown || !view || !main || shown.timeline.length === 0) return -1;
    const seconds = (main.timeline.seconds(frame) - view.offset) / (1 + view.drift);
    const clock = shown.timeline;
    if (seconds < 0 || seconds > clock.end) return -1;
    const n = clock.frameAt(seconds);
    const nearer = n + 1 < clock.length && clock.seconds(n + 1) - seconds < seconds - clock.seconds(n);
    return nearer ? n + 1 : n;
  }

  /** Where an entry at a frame is seen: on the picture that is shown. */
  place(clip: Id, frame: number): Place {
    const there = this.at(frame);
    return there < 0 ? { clip, frame } : { clip: this.seen, frame: there };
  }

  /** What is said of an entry that another clip keeps, since it has a turn of its own there. */
  elsewhere(clip: Id): string {
    if (clip === this.bench.clip?.id) return "";
    const name = this.group.views.find((v) => v.clip_id === clip)?.name ?? "the other clip";
    return ` It is kept on ${isolated(name)}, which has a turn of its own there.`;
  }

  /** Keeps the other camera's picture in step; for an effect, which runs it again after a step. */
  follow(): (() => void) | undefined {
    const { shown } = this;
    const main = this.bench.viewer;
    if (!shown || !main) return undefined;
    if (!main.playing) {
      const there = this.at(main.target);
      if (there >= 0) shown.goTo(there);
      return undefined;
    }
    const { rate } = main;
    let tick = 0;
    const run = () => {
      const there = this.at(main.current);
      if (there >= 0) shown.follow(there, rate);
      tick = requestAnimationFrame(run);
    };
    tick = requestAnimationFrame(run);
    return () => cancelAnimationFrame(tick);
  }

  /** Takes the camera on show, or the first, and the clip apart. */
  async apart(id: Id): Promise<void> {
    await this.bench.app.write(
      () => cameras.apart(id),
      () => `The cameras are taken apart; what was entered stays where it is. ${this.bench.app.keymap.cap("undo")} takes it back.`,
    );
    this.asked = false;
    await this.refresh();
  }
}
