import type { PicturePlace } from "../api/domain";

/** A part of a picture, in pixels of the picture as it is shown. */
export interface Part {
  x: number;
  y: number;
  width: number;
  height: number;
}

interface Size {
  width: number;
  height: number;
}

/** How a picture is shown: mirrored first, then rotated by quarters clockwise; the rest from -100 to 100. */
export interface Light {
  rotation: number;
  mirror: boolean;
  brightness: number;
  contrast: number;
  gamma: number;
}

export const AS_FILED: Light = { rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 };

const spelled = (l: Light) => [l.rotation, Number(l.mirror), l.brightness, l.contrast, l.gamma].join(",");

/** The largest that a pixel of the clip is shown, pixels of the screen. */
const LARGEST = 4;

/**
 * Which part of a clip's picture is seen, and where it lies in its box of the page.
 * The box is in pixels of the screen from its own corner, `density` of them to one of
 * the page. Pixels of the picture are those that are shown; places of the file, which
 * everything that is kept is told in, are where the picture has them before it is
 * mirrored and rotated.
 */
export class Framing {
  /** How many times larger than fitted into the box. */
  times = $state(1);
  /** Called when another part is looked at. */
  changed = (): void => {};

  /** Of the picture, in the middle of the box. */
  #middle = $state.raw<PicturePlace>({ x: 0, y: 0 });
  box = $state.raw<Size>({ width: 0, height: 0 });
  density = $state(1);

  /** Of the picture in the file. */
  readonly file: Size;
  light = $state.raw<Light>(AS_FILED);
  /** The same, as the program takes it. */
  readonly adjust = $derived(spelled(this.light));
  /** Of the picture as it is shown. */
  readonly size = $derived.by<Size>(() =>
    this.light.rotation % 2 === 1 ? { width: this.file.height, height: this.file.width } : this.file,
  );
  readonly zoomed = $derived(this.times > 1.001);
  readonly #fit = $derived(
    this.box.width > 0 && this.box.height > 0 ? Math.min(this.box.width / this.size.width, this.box.height / this.size.height) : 1,
  );
  /** Pixels of the screen to one of the picture. */
  readonly scale = $derived(this.#fit * this.times);
  readonly most = $derived(Math.max(LARGEST / this.#fit, 2));
  /** Where the corner of the whole picture lies. */
  readonly corner = $derived({
    x: edge(this.#middle.x, this.size.width, this.scale, this.box.width),
    y: edge(this.#middle.y, this.size.height, this.scale, this.box.height),
  });
  /** What is seen, with the ground beside the picture, in pixels of the picture: for the layers over it. */
  readonly seen = $derived<Part>({
    x: -this.corner.x / this.scale,
    y: -this.corner.y / this.scale,
    width: this.box.width / this.scale,
    height: this.box.height / this.scale,
  });
  readonly viewBox = $derived(
    this.box.width > 0
      ? `${this.seen.x} ${this.seen.y} ${this.seen.width} ${this.seen.height}`
      : `0 0 ${this.size.width} ${this.size.height}`,
  );
  /** Pixels of the picture to one of the page. */
  readonly unit = $derived(this.density / this.scale);

  constructor(file: Size, light: Light = AS_FILED) {
    this.file = { width: file.width, height: file.height };
    this.light = { ...light };
    this.#middle = { x: this.size.width / 2, y: this.size.height / 2 };
  }

  /** Takes the box's size, in pixels of the screen, where it has changed. */
  fill({ width, height }: Size, density: number): void {
    if (this.box.width === width && this.box.height === height && this.density === density) return;
    this.box = { width, height };
    this.density = density;
  }

  /** The part to ask for: on even pixels, which a file has exactly; null where all of the picture is seen. */
  part(): Part | null {
    if (!this.zoomed || this.box.width === 0) return null;
    const { seen, size } = this;
    const x = Math.max(0, 2 * Math.floor(seen.x / 2));
    const y = Math.max(0, 2 * Math.floor(seen.y / 2));
    const right = Math.min(size.width, 2 * Math.ceil((seen.x + seen.width) / 2));
    const bottom = Math.min(size.height, 2 * Math.ceil((seen.y + seen.height) / 2));
    return { x, y, width: right - x, height: bottom - y };
  }

  /** How wide that part is asked for: as it is seen, and never larger than in the file. */
  partWidth(part: Part): number {
    return Math.max(16, Math.min(part.width, Math.round(part.width * this.scale)));
  }

  /** Shows the picture otherwise; rotated, all of it. */
  show(light: Light): void {
    if (spelled(light) === this.adjust) return;
    const rotated = light.rotation !== this.light.rotation;
    this.light = { ...light };
    if (rotated) this.whole();
    else this.changed();
  }

  /** Where a place of the file is shown. */
  shown({ x, y }: PicturePlace): PicturePlace {
    const { width, height } = this.file;
    if (this.light.mirror) x = width - x;
    switch (this.light.rotation) {
      case 1:
        return { x: height - y, y: x };
      case 2:
        return { x: width - x, y: height - y };
      case 3:
        return { x: y, y: width - x };
      default:
        return { x, y };
    }
  }

  /** The place of the file that is shown there. */
  filed({ x, y }: PicturePlace): PicturePlace {
    const { width, height } = this.file;
    const places = [
      { x, y },
      { x: y, y: height - x },
      { x: width - x, y: height - y },
      { x: width - y, y: x },
    ];
    const p = places[this.light.rotation] ?? { x, y };
    return this.light.mirror ? { x: width - p.x, y: p.y } : p;
  }

  /** Makes the picture larger or smaller by a factor; what lies at x, y of the page, from the box's corner, stays there. */
  zoom(by: number, x = this.box.width / this.density / 2, y = this.box.height / this.density / 2): void {
    const at = this.at(x, y);
    this.times = Math.max(1, Math.min(this.times * by, this.most));
    if (!this.zoomed) this.times = 1;
    this.#settle({
      x: at.x + (this.box.width / 2 - x * this.density) / this.scale,
      y: at.y + (this.box.height / 2 - y * this.density) / this.scale,
    });
  }

  /** Moves the picture by so many pixels of the page. */
  pan(x: number, y: number): void {
    this.#settle({ x: this.#middle.x - x * this.unit, y: this.#middle.y - y * this.unit });
  }

  /** Which part is seen: how many times larger than fitted, and its middle in the file's picture, 0 to 1. */
  get view(): { times: number; x: number; y: number } {
    const { x, y } = this.filed(this.#middle);
    return { times: this.times, x: x / this.file.width, y: y / this.file.height };
  }

  /** Shows such a part. */
  look({ times, x, y }: { times: number; x: number; y: number }): void {
    this.times = Math.max(1, times);
    this.#settle(this.shown({ x: x * this.file.width, y: y * this.file.height }));
  }

  /** Shows the whole picture. */
  whole(): void {
    this.times = 1;
    this.#settle({ x: this.size.width / 2, y: this.size.height / 2 });
  }

  /** The place of the picture at x, y of the page, from the box's corner. */
  at(x: number, y: number): PicturePlace {
    return { x: this.seen.x + x * this.unit, y: this.seen.y + y * this.unit };
  }

  /** The place of the file under the pointer; `layer` fills the box. */
  under(e: { clientX: number; clientY: number }, layer: Element): PicturePlace {
    const box = layer.getBoundingClientRect();
    return this.filed(this.at(e.clientX - box.left, e.clientY - box.top));
  }

  /** No ground beside a picture that is larger than its box. */
  #settle(middle: PicturePlace): void {
    this.#middle = {
      x: held(middle.x, this.size.width, this.box.width / this.scale),
      y: held(middle.y, this.size.height, this.box.height / this.scale),
    };
    this.changed();
  }
}

/** Where the middle may lie along one side of a picture, of which so much is seen. */
function held(middle: number, whole: number, seen: number): number {
  return seen >= whole ? whole / 2 : Math.max(seen / 2, Math.min(middle, whole - seen / 2));
}

/** Where the picture begins in a box along one side, in pixels of the screen. */
function edge(middle: number, whole: number, scale: number, box: number): number {
  return box / 2 - held(middle, whole, box / scale) * scale;
}
