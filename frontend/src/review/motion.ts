import { ownWindow } from "../api/api";
import { makeReady } from "../api/media";
import { FrameCache } from "./framecache";
import type { Part } from "./framing.svelte";
import type { Surface } from "./surface";

/** A picture that is ready to be shown on the window. */
interface Ready {
  readonly number: number;
  readonly width: number;
  readonly height: number;
  readonly part: Part | null;
  close(): void;
}

/** The program keeps the newest 12 pictures ready. */
const LIMITS = { flight: 3, cached: 6, ahead: 4 };

/**
 * Shows the pictures of a clip that plays on the window itself, over the page, which
 * takes less than half the processor time of images of the page. Lines over the picture
 * would not be seen there: then it leaves the picture to the page. Boxes over it stay free.
 */
export class Motion {
  readonly #cache: FrameCache<Ready>;
  /** Of pictures and of events, above those of a clip or page that was here before. */
  #count = Date.now();
  #shown = false;

  /** `asked` says how frame n is asked for, `painted` hears which one is on show, `failed` which one cannot be. */
  constructor(
    frames: number,
    asked: (n: number) => { address: string; part: Part | null },
    private readonly surface: Surface,
    painted: (n: number) => void,
    failed: (n: number, cause: unknown) => void,
  ) {
    this.#cache = new FrameCache<Ready>(
      frames,
      async (n, signal) => {
        const { address, part } = asked(n);
        const number = this.#count++;
        const [width, height] = await makeReady(address, number, signal);
        return { number, width, height, part, close: () => {} };
      },
      (n, picture) => {
        if (this.#show(picture)) painted(n);
      },
      failed,
      LIMITS,
    );
  }

  /** Follows a clock as a cache of images does; false where the page is to show the pictures. */
  follow(n: number, rate: number): boolean {
    const free = over(this.surface.element) !== null;
    if (free || this.#shown) this.#cache.follow(n, rate);
    return free;
  }

  grow(frames: number): void {
    this.#cache.grow(frames);
  }

  /** Pictures are asked for in another way from now on. */
  clear(): void {
    this.#cache.clear();
  }

  /** Leaves the place to the page again. */
  hide(): void {
    if (!this.#shown) return;
    this.#shown = false;
    this.#cache.clear();
    ownWindow.show(this.#count++, -1);
  }

  #show(picture: Ready): boolean {
    const box = this.surface.box;
    if (!box) return false;
    const p = this.surface.placeOf(picture, picture.part, box);
    const rectangles = [box, ...(over(this.surface.element) ?? [])];
    this.#shown = true;
    ownWindow.show(
      this.#count++,
      picture.number,
      [box.x + p.left, box.y + p.top, p.width, p.height],
      rectangles.flatMap((r) => [r.x, r.y, r.width, r.height]),
    );
    return true;
  }
}

/** What lies over the box of a picture, in pixels of the screen; null where lines are drawn over it. */
function over(box: HTMLElement | null): { x: number; y: number; width: number; height: number }[] | null {
  const view = box?.parentElement;
  const room = view?.parentElement;
  if (!view || !room) return [];
  if (view.querySelector("svg :is(path, line, polyline, polygon, circle, ellipse, rect, text)")) return null;
  const beside = [...view.children].filter((e) => e !== box && !(e instanceof SVGElement));
  const boxes = [...beside, ...[...room.children].filter((e) => e !== view), ...document.querySelectorAll("dialog[open]")];
  return boxes.map((e) => {
    const { x, y, width, height } = e.getBoundingClientRect();
    const d = devicePixelRatio;
    return { x: x * d, y: y * d, width: width * d, height: height * d };
  });
}
