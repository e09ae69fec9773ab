import { describe, expect, test } from "vitest";
import { Framing } from "./framing.svelte";

function framed(width = 1920, height = 1080, box = { width: 960, height: 600 }): Framing {
  const f = new Framing({ width, height });
  f.box = box;
  return f;
}

describe("what is seen of a picture", () => {
  test("all of it at first, in the middle of its box", () => {
    const f = framed();
    expect(f.part()).toBeNull();
    expect(f.corner).toEqual({ x: 0, y: 30 });
    expect(f.unit).toBe(2);
  });

  test("what lies under the pointer stays there, up to four pixels of the screen for one of the clip", () => {
    const f = framed();
    const before = f.at(300, 200);
    for (let i = 0; i < 20; i++) {
      f.zoom(1.3, 300, 200);
      const now = f.at(300, 200);
      expect(now.x).toBeCloseTo(before.x, 6);
      expect(now.y).toBeCloseTo(before.y, 6);
    }
    expect(f.scale).toBe(4);
  });

  test("a part lies on even pixels, holds all that is seen, and is never asked for larger than it is", () => {
    const f = framed();
    f.zoom(3.7, 511, 307);
    const p = f.part();
    if (!p) throw new Error("no part");
    expect([p.x % 2, p.y % 2, p.width % 2, p.height % 2]).toEqual([0, 0, 0, 0]);
    expect(p.x).toBeLessThanOrEqual(f.seen.x);
    expect(p.x + p.width).toBeGreaterThanOrEqual(f.seen.x + f.seen.width - 1e-9);
    expect(p.width - f.seen.width).toBeLessThan(4);
    expect(f.partWidth(p)).toBe(p.width);
    f.whole();
    f.zoom(1.5);
    const q = f.part();
    if (!q) throw new Error("no part");
    expect(f.partWidth(q)).toBe(Math.round(q.width * f.scale));
  });

  test("no ground shows beside a picture that is larger than its box", () => {
    const f = framed();
    f.zoom(4);
    f.pan(5000, -5000);
    expect(f.seen.x).toBeCloseTo(0, 6);
    expect(f.seen.y + f.seen.height).toBeCloseTo(1080, 6);
  });

  test("a place is shown where the picture is rotated and mirrored to, and found back from there", () => {
    const f = framed();
    const p = { x: 100, y: 30 };
    const where = [p, { x: 1080 - 30, y: 100 }, { x: 1820, y: 1050 }, { x: 30, y: 1820 }];
    for (const mirror of [false, true])
      for (let rotation = 0; rotation < 4; rotation++) {
        f.show({ rotation, mirror, brightness: 0, contrast: 0, gamma: 0 });
        expect(f.size).toEqual(rotation % 2 ? { width: 1080, height: 1920 } : { width: 1920, height: 1080 });
        expect(f.shown(mirror ? { x: 1920 - p.x, y: p.y } : p)).toEqual(where[rotation]);
        expect(f.filed(f.shown(p))).toEqual(p);
      }
  });

  test("smaller than fitted it never gets", () => {
    const f = framed();
    f.zoom(0.2, 10, 10);
    expect(f.times).toBe(1);
    expect(f.part()).toBeNull();
  });

  test("a box that grows keeps what is looked at", () => {
    const f = framed();
    f.zoom(4, 100, 100);
    const middle = f.at(480, 300);
    f.box = { width: 1200, height: 700 };
    expect(f.at(600, 350).x).toBeCloseTo(middle.x, 6);
  });
});
