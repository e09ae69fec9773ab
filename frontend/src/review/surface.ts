import { frameTrouble } from "../api/media";
import type { Framing, Part } from "./framing.svelte";

/** A picture that is ready to be shown; close gives its element back to the surface. */
export interface LoadedImage {
  readonly element: HTMLImageElement;
  /** What it shows of the picture; null is all of it. */
  readonly part: Part | null;
  close(): void;
}

/** How a picture of so many pixels lies in a box, in pixels of the screen. */
export interface Place {
  left: number;
  top: number;
  width: number;
  height: number;
}

/**
 * Lays a picture where it belongs in a box whose corner lies at x, y of the screen. One
 * that was made for its place is shown pixel for pixel, on whole pixels: that needs no
 * scaling, which would cost more than decoding it.
 */
export function laid(picture: { width: number; height: number }, place: Place, box: { x: number; y: number }): Place {
  const near = Math.abs(place.width - picture.width) < 3 && Math.abs(place.height - picture.height) < 3;
  if (!near) return place;
  return {
    left: Math.round(box.x + place.left + (place.width - picture.width) / 2) - box.x,
    top: Math.round(box.y + place.top + (place.height - picture.height) / 2) - box.y,
    width: picture.width,
    height: picture.height,
  };
}

/** The widest picture, at most `most` pixels, that is shown in a box pixel for pixel; even. */
export function widthFor(ratio: number, box: { width: number; height: number }, most: number): number {
  return Math.max(16, 2 * Math.floor(Math.min(box.width, box.height * ratio, most) / 2));
}

/**
 * Shows one picture at a time in a box of the page. Pictures are image elements
 * that stay hidden in the box until they are decoded and shown; elements are reused. A canvas would cost two more copies of every picture.
 */
export class Surface {
  #box: HTMLElement | null = null;
  #spare: HTMLImageElement[] = [];
  #shown: HTMLImageElement | null = null;
  #shownPart: Part | null = null;
  /** The picture on show is closed: its element is reused once another is shown. */
  #shownIsClosed = false;

  constructor(private readonly framing: Framing) {}

  /** Sets the box to show pictures in; null detaches it. */
  attach(box: HTMLElement | null): void {
    this.#box?.replaceChildren(); // a picture that stayed would keep all of the screen that is left
    this.#box = box;
    this.refit();
  }

  get element(): HTMLElement | null {
    return this.#box;
  }

  /** Corner and size of the box in pixels of the screen; null without one. */
  get box(): { x: number; y: number; width: number; height: number } | null {
    const at = this.#box?.getBoundingClientRect();
    const d = devicePixelRatio;
    return at ? { x: at.x * d, y: at.y * d, width: at.width * d, height: at.height * d } : null;
  }

  /** Fetches and decodes a picture. Throws AppError where there is none. */
  async load(address: string, signal: AbortSignal, part: Part | null = null): Promise<LoadedImage> {
    const element = this.#spare.pop() ?? blank();
    let stop = () => {};
    // WebKit never settles decode() of an element whose src is removed.
    const aborted = new Promise<never>((_, reject) => {
      stop = () => reject(new DOMException("Nobody waits for it.", "AbortError"));
    });
    signal.addEventListener("abort", stop);
    element.src = address;
    try {
      await Promise.race([element.decode(), aborted]);
    } catch (cause) {
      this.#release(element);
      if (signal.aborted) throw cause;
      throw await frameTrouble(address);
    } finally {
      signal.removeEventListener("abort", stop);
    }
    let open = true;
    return {
      element,
      part,
      close: () => {
        if (!open) return;
        open = false;
        if (element === this.#shown) this.#shownIsClosed = true;
        else this.#release(element);
      },
    };
  }

  show({ element, part }: LoadedImage): void {
    const before = this.#shown;
    if (element === before) return;
    this.#shownPart = part;
    this.#place(element);
    element.style.display = "block";
    if (before) before.style.display = "none";
    this.#shown = element;
    if (before && this.#shownIsClosed) this.#release(before);
    this.#shownIsClosed = false;
  }

  /** Places the picture on show again, after the box has changed its size or another part is looked at. */
  refit(): void {
    const box = this.box;
    if (box) this.framing.fill(box, devicePixelRatio);
    if (this.#shown) this.#place(this.#shown);
  }

  /** Where a picture of a part belongs, from the corner of the box. */
  placeOf(picture: { width: number; height: number }, part: Part | null, box: { x: number; y: number }): Place {
    const { corner, scale, size } = this.framing;
    const of = part ?? { x: 0, y: 0, ...size };
    const place = { left: corner.x + of.x * scale, top: corner.y + of.y * scale, width: of.width * scale, height: of.height * scale };
    return laid(picture, place, box);
  }

  #place(element: HTMLImageElement): void {
    const box = this.box;
    if (!box || !this.#box) return;
    const p = this.placeOf({ width: element.naturalWidth, height: element.naturalHeight }, this.#shownPart, box);
    const px = (v: number) => `${v / devicePixelRatio}px`;
    const style = element.style;
    // Writing the same value would still lay out the page again.
    for (const [name, value] of [
      ["left", px(p.left)],
      ["top", px(p.top)],
      ["width", px(p.width)],
      ["height", px(p.height)],
    ] as const) {
      if (style[name] !== value) style[name] = value;
    }
    if (element.parentElement !== this.#box) this.#box.append(element);
  }

  #release(element: HTMLImageElement): void {
    element.removeAttribute("src");
    element.style.display = "none";
    this.#spare.push(element);
  }
}

function blank(): HTMLImageElement {
  const element = new Image();
  element.alt = "";
  element.draggable = false;
  element.style.position = "absolute";
  element.style.display = "none";
  return element;
}
