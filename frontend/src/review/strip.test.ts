import { describe, expect, it } from "vitest";
import type { Onset } from "../api/media";
import { drawable, fitted, page, peak, toSeconds, toX, within, zooms, zoomed } from "./strip";

const noise = (seconds: number, kind: Onset["kind"] = "racket"): Onset => ({
  seconds,
  kind,
  who: kind === "other" ? "" : "near",
  confidence: 1,
});

describe("the sound strip of a long clip", () => {
  it("comes close enough to see single sounds, whatever the length", () => {
    expect(zooms(1)).toEqual([1]);
    expect(zooms(10)).toEqual([1, 2, 4]);
    const closest = zooms(2 * 3600).at(-1) ?? 1;
    const s = page(7200, closest, 5000);
    expect(s.to - s.from).toBeGreaterThanOrEqual(2);
    expect(s.to - s.from).toBeLessThan(4);
    expect(s.from).toBeLessThanOrEqual(5000);
    expect(s.to).toBeGreaterThan(5000);
  });

  it("draws the bins of a stretch where that stretch is, and nothing beside it", () => {
    const bins = Float32Array.from({ length: 100 }, (_, i) => (i === 40 ? 1 : 0));
    const of = { from: 20, to: 30 };
    const drawn = (s: { from: number; to: number }) => Array.from({ length: 100 }, (_, x) => peak(bins, of, s, 100, x));
    expect(drawn(of).indexOf(1)).toBe(40);
    // Of the whole clip: the bin at 24 s falls on pixel 24 of 100 s.
    const wide = drawn({ from: 0, to: 100 });
    expect(wide.indexOf(1)).toBe(24);
    expect(wide.filter((v) => v > 0)).toHaveLength(1);
  });

  it("takes out only what is on show", () => {
    const all = Array.from({ length: 36000 }, (_, i) => noise(i / 5));
    expect(within(all, { from: 100, to: 102 }).map((n) => n.seconds)).toEqual([
      100, 100.2, 100.4, 100.6, 100.8, 101, 101.2, 101.4, 101.6, 101.8,
    ]);
    expect(within(all, { from: 7200, to: 7300 })).toEqual([]);
    expect(within([], { from: 0, to: 1 })).toEqual([]);
  });

  it("draws sounds where there is room for them, else the rackets, else none", () => {
    const some = [noise(1), noise(2, "bounce"), noise(3), noise(4, "other")];
    expect(drawable(some, 20)).toHaveLength(4);
    expect(drawable(some, 19).map((n) => n.seconds)).toEqual([1, 3]);
    expect(drawable(some, 9)).toEqual([]);
  });
});

describe("a name over a turn", () => {
  const wide = (text: string) => [...text].length * 10; // as if each letter had ten pixels

  it("stands whole where there is room, and is cut with a sign that says so", () => {
    expect(fitted("Ilka Osei", 90, wide)).toBe("Ilka Osei");
    expect(fitted("Ilka Osei", 89, wide)).toBe("Ilka Os…");
    // Not "Ilka …": no room is lost to a space.
    expect(fitted("Ilka Osei", 60, wide)).toBe("Ilka…");
    expect(fitted("Ilka Osei", 20, wide)).toBe("I…");
  });

  it("is left out where not one letter fits", () => {
    expect(fitted("Ilka Osei", 19, wide)).toBe("");
    expect(fitted("Ilka Osei", -4, wide)).toBe("");
  });
});

describe("the sound strip", () => {
  it("goes from time to pixels and back", () => {
    const s = { from: 10, to: 30 };
    expect(toX(s, 200, 20)).toBe(100);
    expect(toSeconds(s, 200, 100)).toBe(20);
    expect(toSeconds(s, 200, 999)).toBe(30);
  });

  it("turns pages at a zoom, the last one full", () => {
    expect(page(60, 1, 42)).toEqual({ from: 0, to: 60 });
    expect(page(60, 4, 42)).toEqual({ from: 30, to: 45 });
    expect(page(60, 4, 60)).toEqual({ from: 45, to: 60 });
  });

  it("keeps the loudest bin of a pixel, so that no contact is lost", () => {
    const bins = new Float32Array(1000);
    bins[777] = 0.9;
    const s = page(10, 1, 0);
    const drawn = Array.from({ length: 100 }, (_, x) => peak(bins, { from: 0, to: 10 }, s, 100, x));
    expect(drawn[77]).toBeCloseTo(0.9);
    expect(drawn.filter((v) => v > 0)).toHaveLength(1);
  });
});

describe("zooming at the pointer", () => {
  it("keeps what is under it where it is, as far as the clip goes", () => {
    const whole = { from: 0, to: 80 };
    const closer = zoomed(80, whole, 0.25, 2);
    expect(closer).toEqual({ from: 10, to: 50 });
    expect(toSeconds(closer, 100, 25)).toBe(toSeconds(whole, 100, 25));
    expect(zoomed(80, closer, 0.25, 1)).toEqual(whole);
    expect(zoomed(80, whole, 1, 8)).toEqual({ from: 70, to: 80 });
    expect(zoomed(80, { from: 70, to: 80 }, 0, 4)).toEqual({ from: 60, to: 80 }); // no further than the end
  });
});
