import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { AppError } from "../api/api";
import { Framing } from "./framing.svelte";
import { Surface, laid, widthFor } from "./surface";
import { stubBox, stubImages } from "./images.stub";

describe("laid", () => {
  it("shows a picture made for its place pixel for pixel, on whole pixels", () => {
    const p = laid({ width: 1294, height: 728 }, { left: 0.3, top: 36.2, width: 1295.3, height: 728.6 }, { x: 90.4, y: 51.6 });
    expect([p.width, p.height]).toEqual([1294, 728]);
    expect([p.left + 90.4, p.top + 51.6].map((v) => v % 1)).toEqual([0, 0]);
  });

  it("scales another one to its place", () => {
    const place = { left: 0, top: 60, width: 640, height: 360 };
    expect(laid({ width: 320, height: 180 }, place, { x: 0, y: 0 })).toEqual(place);
  });

  it("asks for the width that needs no scaling", () => {
    expect(widthFor(16 / 9, { width: 1295.3, height: 801 }, 1920)).toBe(1294);
    expect(widthFor(16 / 9, { width: 1295, height: 500 }, 1920)).toBe(888);
    expect(widthFor(9 / 16, { width: 1295, height: 800 }, 1920)).toBe(450);
    expect(widthFor(16 / 9, { width: 3840, height: 2160 }, 1920)).toBe(1920);
    expect(widthFor(16 / 9, { width: 0, height: 0 }, 1920)).toBe(16);
  });
});

describe("Surface", () => {
  const open = new AbortController().signal;
  let broken: boolean;
  let surface: Surface;
  let box: ReturnType<typeof stubBox>;
  const seen = () => box.children.filter((e) => e.style.display === "block").map((e) => e.src);

  beforeEach(() => {
    broken = false;
    stubImages(() => (broken ? Promise.reject(new Error("no picture")) : Promise.resolve()));
    surface = new Surface(new Framing({ width: 64, height: 36 }));
    box = stubBox();
    surface.attach(box);
  });
  afterEach(() => vi.unstubAllGlobals());

  it("shows one picture at a time", async () => {
    for (const a of ["/1", "/2", "/3"]) {
      surface.show(await surface.load(a, open));
      expect(seen()).toEqual([a]);
    }
  });

  it("keeps what is seen until another is, closed or not, and then uses its element again", async () => {
    const [first, second] = [await surface.load("/1", open), await surface.load("/2", open)];
    surface.show(first);
    first.close();
    first.close();
    expect(seen()).toEqual(["/1"]);
    surface.show(second);
    expect(seen()).toEqual(["/2"]);
    const third = await surface.load("/3", open);
    expect(third.element).toBe(first.element);
    expect(seen()).toEqual(["/2"]);
    expect((await surface.load("/4", open)).element).not.toBe(first.element);
  });

  it("gives up a picture that nobody waits for", async () => {
    const stop = new AbortController();
    const wait = surface.load("/1", stop.signal);
    stop.abort();
    await expect(wait).rejects.toThrow();
  });

  it("uses the element of a picture that was given up again, and shows nothing but the new one", async () => {
    const made: HTMLImageElement[] = [];
    const Made = Image;
    vi.stubGlobal(
      "Image",
      class extends Made {
        constructor() {
          super();
          made.push(this);
        }
      },
    );
    for (let n = 0; n < 5; n++) {
      const stop = new AbortController();
      const wait = surface.load(`/${n}`, stop.signal);
      stop.abort();
      await expect(wait).rejects.toThrow();
    }
    surface.show(await surface.load("/last", open));
    expect([made.length, seen()]).toEqual([1, ["/last"]]);
  });

  it("says why there is no picture", async () => {
    broken = true;
    vi.stubGlobal("fetch", () => Promise.resolve(new Response("Frame 9 is damaged.", { status: 404 })));
    await expect(surface.load("/9", open)).rejects.toEqual(new AppError("problem", "", "Frame 9 is damaged."));
  });

  it("leaves no picture in a box that it lets go of: one would keep the whole screen in memory", async () => {
    stubImages();
    const surface = new Surface(new Framing({ width: 64, height: 36 }));
    const [box, other] = [stubBox(), stubBox()];
    surface.attach(box);
    const one = await surface.load("/1", new AbortController().signal);
    const two = await surface.load("/2", new AbortController().signal);
    surface.show(one);
    surface.show(two);
    expect(box.children).toHaveLength(2);
    surface.attach(null);
    expect(box.children).toEqual([]);
    surface.attach(other);
    expect(other.children).toEqual([two.element]);
  });
});
