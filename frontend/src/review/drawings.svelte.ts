import { pictures as program } from "../api/api";
import type { Drawing, DrawingKind, Id, Mark, PicturePlace } from "../api/domain";
import { BesideSide } from "./besideside.svelte";
import type { BenchCore } from "./core";
import type { Viewer } from "./viewer.svelte";

/** A drawing before it is kept: without an ID, its places parts of the picture in the file. */
export interface Sketch {
  id: Id;
  kind: DrawingKind;
  places: PicturePlace[];
}

/** A place of a drawing, or all of it. */
type Grip = number | "all";

/** The kinds in the order of their keys. */
export const KINDS: readonly DrawingKind[] = ["line", "arrow", "circle", "angle", "free", "text"];

const PLACES: Record<DrawingKind, number> = { line: 2, arrow: 2, circle: 2, angle: 3, free: 2, text: 1 };

/** Of a drawing that a key puts into the middle of what is seen: from there, parts of the shorter side. */
const PUT: Record<DrawingKind, readonly (readonly [number, number])[]> = {
  line: [[-0.15, 0], [0.15, 0]],
  arrow: [[-0.15, 0.15], [0, 0]],
  circle: [[0, 0], [0.12, 0]],
  angle: [[0, 0], [0, -0.2], [0.2, 0]],
  free: [[-0.1, 0], [0.1, 0]],
  text: [[0, 0]],
}; // prettier-ignore

/** Places of a hand's way that are nearer to each other say nothing more, pixels of the page. */
const HAND_APART = 3;
/** A way of so many places is what a drawing keeps at most; see mostPlaces in internal/picture. */
const MOST_PLACES = 2000;
/** What moves by less than this is a click, pixels of the page. */
const CLICK = 5;
/** Moves by keys are kept this long after the last of them, milliseconds. */
const REST = 600;

const within = (v: number) => Math.max(0, Math.min(1, v));

/** What is drawn on the pictures of the clip on the bench, or of two beside each other, and drawing on them. */
export class Drawings {
  /** Drawing goes on: the panel is open, and the pointer draws. */
  active = $state(false);
  tool = $state<DrawingKind>("arrow");
  selectedId = $state<Id>("");
  /** What is drawn next goes with no mark, also where one is selected here. */
  alone = $state(false);
  /** What is being drawn, its last place under the pointer; or a drawing that is being moved. */
  sketch = $state.raw<Sketch | null>(null);
  /** Where it was begun. */
  private begun = $state.raw<Viewer | null>(null);
  /** A text that is being written: a new one, or one to change. */
  writing = $state.raw<{ sketch: Sketch; text: string } | null>(null);
  /** Counts the drawings that were put by a key: they have the keyboard. */
  put = $state(0);

  #all = $state.raw<ReadonlyMap<Id, readonly Drawing[]>>(new Map());
  /** How many frames before and after its own a new one is shown: as the last one that was set. */
  #before = 0;
  #after = 0;
  #pressed: PicturePlace | null = null;
  #held: { of: Drawing; grip: Grip; from: PicturePlace } | null = null;
  #resting: ReturnType<typeof setTimeout> | undefined;

  /** `seen` is what is looked at: the picture of the clip, or of another camera, or of two the one that the keys act on. */
  constructor(
    private readonly bench: BenchCore,
    private readonly seen: () => Viewer | BesideSide | null,
  ) {}

  private readonly side = $derived.by(() => {
    const seen = this.seen();
    return seen instanceof BesideSide ? seen : undefined;
  });
  readonly viewer = $derived.by(() => {
    const seen = this.seen();
    return seen instanceof BesideSide ? seen.viewer : seen;
  });
  readonly clip = $derived<Id>(this.viewer?.clip.clip.id ?? "");
  readonly frame = $derived(Math.max(0, this.viewer?.shown ?? 0));
  readonly selected = $derived(this.of(this.clip).find((d) => d.id === this.selectedId));
  /** The mark with which a new drawing goes. */
  readonly mark = $derived.by<Mark | undefined>(() => {
    const { side } = this;
    if (side) return side.here.find((m) => m.id === side.selectedId);
    return this.bench.ledger.marks.find((m) => m.id === this.bench.selectedId && m.frame === this.bench.frame);
  });
  /** What is being drawn, on the picture on which it was begun. */
  readonly fresh = $derived(this.sketch?.id === "" && this.begun === this.viewer ? this.sketch : null);

  of(clip: Id): readonly Drawing[] {
    return this.#all.get(clip) ?? [];
  }

  /** What is shown on a frame of a clip, and what is selected there; what is moved, where it is now. */
  on(clip: Id, frame: number, selected: boolean): Drawing[] {
    const { sketch } = this;
    return this.of(clip)
      .filter((d) => (d.first <= frame && frame <= d.last) || (selected && d.id === this.selectedId))
      .map((d) => (sketch?.id === d.id ? { ...d, places: sketch.places } : d));
  }

  /** Whether another set of drawings is shown on one frame than on another. */
  differ(clip: Id, a: number, b: number): boolean {
    return this.of(clip).some((d) => (d.first <= a && a <= d.last) !== (d.first <= b && b <= d.last));
  }

  /** The frames that have a drawing which is shown on them alone. */
  frames(clip: Id): number[] {
    return this.of(clip).flatMap((d) => (d.first === d.last ? [d.first] : []));
  }

  /** Whether something is shown on one of the next frames. */
  soon(clip: Id, frame: number, frames: number): boolean {
    return this.of(clip).some((d) => d.first > frame && d.first <= frame + frames);
  }

  /** Reads what is drawn on a clip, once. */
  async need(clip: Id): Promise<void> {
    if (clip !== "" && !this.#all.has(clip)) await this.#read([clip]);
  }

  /** Reads all of it anew. */
  async refresh(): Promise<void> {
    const own = this.bench.viewer?.clip.clip.id;
    await this.#read([...new Set([...(own ? [own] : []), ...this.#all.keys()])]);
  }

  async #read(clips: readonly Id[]): Promise<void> {
    await this.bench.app.attempt(async () => {
      const lists = await Promise.all(clips.map((c) => program.drawings(c)));
      const all = new Map(this.#all);
      clips.forEach((c, i) => all.set(c, lists[i] ?? []));
      this.#all = all;
    });
  }

  /** Another clip comes on the bench. */
  close(): void {
    this.leave();
    this.#all = new Map();
  }

  toggle(): void {
    if (this.active) this.leave();
    else this.begin();
  }

  /** Begins to draw, where a mark is selected for that. */
  begin(): void {
    if (!this.viewer || !this.bench.coachKnown()) return;
    this.bench.viewer?.pause();
    this.active = true;
    this.alone = false;
  }

  leave(): void {
    this.#rest();
    this.active = false;
    this.sketch = this.writing = null;
    this.selectedId = "";
  }

  /** Gives up what is being drawn, else what is selected, else drawing. */
  giveUp(): void {
    if (this.fresh) this.sketch = null;
    else if (this.selectedId !== "") {
      this.#rest();
      this.selectedId = "";
    } else this.leave();
  }

  choose(tool: DrawingKind): void {
    this.tool = tool;
    this.sketch = null;
  }

  /** Pixels of the file in one of the page. */
  get #unit(): number {
    return this.viewer?.framing.unit ?? 1;
  }

  /** A place of the file as parts of its picture. */
  #part(p: PicturePlace): PicturePlace {
    const { width, height } = this.viewer?.framing.file ?? { width: 1, height: 1 };
    return { x: within(p.x / width), y: within(p.y / height) };
  }

  /** Pixels of the page between two places in parts of the picture. */
  #apart(a: PicturePlace, b: PicturePlace): number {
    const { width, height } = this.viewer?.framing.file ?? { width: 1, height: 1 };
    return Math.hypot((a.x - b.x) * width, (a.y - b.y) * height) / this.#unit;
  }

  /** The pointer goes down at a place of the file where nothing is drawn. */
  press(at: PicturePlace): void {
    this.#rest();
    const p = this.#part(at);
    this.#pressed = p;
    if (this.tool === "text") {
      this.writing = { sketch: { id: "", kind: "text", places: [p] }, text: "" };
      return;
    }
    this.selectedId = "";
    if (this.fresh) {
      this.#last(p);
      return;
    }
    this.begun = this.viewer;
    this.sketch = { id: "", kind: this.tool, places: this.tool === "free" ? [p] : [p, p] };
  }

  /** The pointer moves, down or not. */
  move(at: PicturePlace): void {
    const p = this.#part(at);
    if (this.#held) return this.#drag(p);
    const sketch = this.fresh;
    if (!sketch) return;
    const end = sketch.places.at(-1);
    if (sketch.kind !== "free") this.#last(p);
    else if (this.#pressed && end && this.#apart(end, p) >= HAND_APART && sketch.places.length < MOST_PLACES)
      this.sketch = { ...sketch, places: [...sketch.places, p] };
  }

  /** The pointer goes up: what was dragged to is a place, and so is what is clicked on next. */
  async release(): Promise<void> {
    if (this.#held) return this.#drop();
    this.#pressed = null;
    const sketch = this.fresh;
    if (!sketch) return;
    const [end, before] = [sketch.places.at(-1), sketch.places.at(-2)];
    if (sketch.kind === "free") {
      if (sketch.places.length < 2) this.sketch = null;
      else await this.#keep(sketch);
    } else if (end && before && this.#apart(end, before) < CLICK) return;
    else if (end && sketch.places.length < PLACES[sketch.kind]) this.sketch = { ...sketch, places: [...sketch.places, end] };
    else await this.#keep(sketch);
  }

  #last(p: PicturePlace): void {
    if (this.sketch) this.sketch = { ...this.sketch, places: [...this.sketch.places.slice(0, -1), p] };
  }

  /** Takes hold of a drawing, or of one place of it. */
  hold(d: Drawing, grip: Grip, at: PicturePlace): void {
    this.#rest();
    this.selectedId = d.id;
    this.sketch = { id: d.id, kind: d.kind, places: d.places };
    this.#held = { of: d, grip, from: this.#part(at) };
  }

  #drag(p: PicturePlace): void {
    const held = this.#held;
    if (held)
      this.sketch = { id: held.of.id, kind: held.of.kind, places: moved(held.of.places, held.grip, p.x - held.from.x, p.y - held.from.y) };
  }

  async #drop(): Promise<void> {
    const [held, sketch] = [this.#held, this.sketch];
    this.#held = null;
    if (held && sketch) await this.#change(held.of, sketch);
  }

  /** Moves a drawing, or one place of it, by pixels of the file; kept once no more moves come. */
  nudge(d: Drawing, grip: Grip, x: number, y: number): void {
    const { width, height } = this.viewer?.framing.file ?? { width: 1, height: 1 };
    const places = this.sketch?.id === d.id ? this.sketch.places : d.places;
    this.selectedId = d.id;
    this.sketch = { id: d.id, kind: d.kind, places: moved(places, grip, x / width, y / height) };
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#rest(), REST);
  }

  /** Keeps what was moved by keys. */
  #rest(): void {
    clearTimeout(this.#resting);
    const { sketch } = this;
    // The keys may act on another clip by now.
    const of = sketch && !this.#held ? [...this.#all.values()].flat().find((d) => d.id === sketch.id) : undefined;
    if (sketch && of) void this.#change(of, sketch);
  }

  /** Puts a drawing of the chosen kind into the middle of what is seen; one more place where a hand's way is selected. */
  async putInTheMiddle(): Promise<void> {
    const f = this.viewer?.framing;
    if (!f) return;
    const { selected } = this;
    if (this.tool === "free" && selected?.kind === "free") {
      const end = selected.places.at(-1);
      const side = Math.min(f.file.width, f.file.height) * 0.05;
      if (end && selected.places.length < MOST_PLACES) {
        const next = this.#part({ x: end.x * f.file.width + side, y: end.y * f.file.height });
        await this.#change(selected, { ...selected, places: [...selected.places, next] });
        this.put++;
      }
      return;
    }
    const middle = f.at(f.box.width / f.density / 2, f.box.height / f.density / 2);
    const side = Math.min(f.seen.width, f.seen.height, f.size.width, f.size.height);
    const places = PUT[this.tool].map(([x, y]) => this.#part(f.filed({ x: middle.x + x * side, y: middle.y + y * side })));
    const sketch: Sketch = { id: "", kind: this.tool, places };
    if (this.tool === "text") this.writing = { sketch, text: "" };
    else if (await this.#keep(sketch)) this.put++;
  }

  /** The text that was written for a sketch; no words leave it as it was. */
  async write(text: string): Promise<boolean> {
    const { writing } = this;
    if (!writing) return true;
    const words = text.trim();
    const of = this.of(this.clip).find((d) => d.id === writing.sketch.id);
    const kept = words === "" || (of ? await this.#change(of, writing.sketch, { text: words }) : await this.#keep(writing.sketch, words));
    if (kept) this.writing = null;
    return kept;
  }

  /** Opens the words of the selected text. */
  words(): void {
    const d = this.selected;
    if (d?.kind === "text") this.writing = { sketch: { id: d.id, kind: d.kind, places: d.places }, text: d.text ?? "" };
    else this.bench.notify("Select a text first: only a text has words.", true);
  }

  async #keep(sketch: Sketch, text = ""): Promise<boolean> {
    const { clip, frame, viewer } = this;
    if (!viewer) return false;
    const last = Math.min(frame + this.#after, viewer.frames - 1);
    const drawing: Drawing = {
      ...{
        id: "",
        clip_id: clip,
        coach_id: "",
        mark_id: this.alone ? "" : (this.mark?.id ?? ""),
        kind: sketch.kind,
        places: sketch.places,
        text,
      },
      ...{ frame, first: Math.max(0, frame - this.#before), last, ticks: 0, first_ticks: 0, last_ticks: 0 },
    };
    const made = await this.#save(drawing, `Saved: ${NAMES[sketch.kind]} ${this.#on(drawing)}, also in pages and films.`);
    // The next one may have been begun meanwhile.
    if (this.sketch === sketch) this.sketch = null;
    if (made && !this.sketch) this.selectedId = made.id;
    return made !== undefined;
  }

  async #change(of: Drawing, sketch: Sketch, change: Partial<Drawing> = {}): Promise<boolean> {
    const to = { ...of, ...change, places: sketch.places };
    const same = JSON.stringify(to) === JSON.stringify(of);
    const kept = same || (await this.#save(to, `Saved: ${NAMES[of.kind]} ${this.#on(to)}.`)) !== undefined;
    if (this.sketch?.id === of.id && !this.#held) this.sketch = null;
    return kept;
  }

  #on(d: Drawing): string {
    return d.first === d.last ? `on frame ${d.first}` : `on frames ${d.first} to ${d.last}`;
  }

  /** Reads what is kept before it is called saved. */
  #save(d: Drawing, said: string): Promise<Drawing | undefined> {
    return this.bench.app.write(
      () => program.draw(d),
      () => said,
      { reread: () => this.#read([d.clip_id]) },
    );
  }

  /** Shows the selected drawing from a frame on, up to one; the frame it was drawn on stays among them. */
  async span(first: number, last: number): Promise<void> {
    const d = this.selected;
    if (!d || !this.viewer) {
      this.bench.notify("Select a drawing first: click on it.", true);
      return;
    }
    if (!(Number.isInteger(first) && Number.isInteger(last) && first >= 0 && last < this.viewer.frames && first <= last)) {
      this.bench.notify(`The frames go from 0 to ${this.viewer.frames - 1}, the first before the last.`, true);
      return;
    }
    const change = { first, last, frame: Math.max(first, Math.min(d.frame, last)) };
    if (await this.#change(d, { ...d }, change)) [this.#before, this.#after] = [change.frame - first, last - change.frame];
  }

  /** The selected drawing goes with the mark that is selected here, or on its own. */
  async together(withMark: boolean): Promise<void> {
    const d = this.selected;
    this.alone = !withMark;
    if (d) await this.#change(d, { ...d }, { mark_id: withMark ? (this.mark?.id ?? d.mark_id ?? "") : "" });
  }

  async wipe(): Promise<void> {
    const d = this.selected;
    if (!d) {
      this.bench.notify("Select a drawing first: click on it.", true);
      return;
    }
    this.sketch = null;
    await this.bench.app.write(
      () => program.wipe(d.id),
      () => `${NAMES[d.kind]} is wiped off. ${this.bench.app.keymap.cap("undo")} brings it back.`.replace(/^./, (c) => c.toUpperCase()),
      { reread: () => this.#read([d.clip_id]) },
    );
    this.selectedId = "";
  }

  /** Selects the next drawing of the clip, or the one before, and goes to where it is seen. */
  walk(by: 1 | -1): void {
    this.#rest();
    const list = this.of(this.clip);
    const at = list.findIndex((d) => d.id === this.selectedId);
    const here = by > 0 ? list.findIndex((d) => d.frame >= this.frame) : list.findLastIndex((d) => d.frame <= this.frame);
    const next = list[at >= 0 ? at + by : here];
    if (!next) {
      this.bench.notify(by > 0 ? "There is no drawing after this." : "There is no drawing before this.");
      return;
    }
    this.selectedId = next.id;
    if (next.first > this.frame || next.last < this.frame) this.viewer?.goTo(next.frame);
  }
}

/** Kinds in words. */
export const NAMES: Record<DrawingKind, string> = {
  line: "the line",
  arrow: "the arrow",
  circle: "the circle",
  angle: "the angle",
  free: "the line by hand",
  text: "the text",
};

/** Places of a drawing of which one, or all, are moved by so much; all stay inside the picture. */
function moved(places: readonly PicturePlace[], grip: Grip, x: number, y: number): PicturePlace[] {
  const held = grip === "all" ? places : places.filter((_, i) => i === grip);
  const stay = (by: number, at: readonly number[]) => Math.max(-Math.min(...at), Math.min(by, 1 - Math.max(...at)));
  const [dx, dy] = [stay(x, held.map((p) => p.x)), stay(y, held.map((p) => p.y))]; // prettier-ignore
  return places.map((p, i) => (grip === "all" || i === grip ? { x: within(p.x + dx), y: within(p.y + dy) } : p));
}
