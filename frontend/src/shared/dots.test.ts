import { describe, expect, it } from "vitest";
import { across, limitAt, scaleOf, spoken, stacked, WIDTH, type Dot } from "./dots";

const dot = (frame: number, at: number, more: Partial<Dot> = {}): Dot => ({
  key: String(frame),
  name: `Frame ${frame}`,
  at,
  half: 6,
  said: "",
  suggested: false,
  ...more,
});

describe("a row of dots", () => {
  it("shows all values and the limit, between whole tens", () => {
    expect(scaleOf([dot(1, 41), dot(2, 63)], 0)).toEqual({ from: 30, to: 80 });
    expect(scaleOf([dot(1, 41)], 75)).toEqual({ from: 30, to: 90 });
    expect(scaleOf([], 0)).toEqual({ from: 0, to: 100 });
    expect(scaleOf([dot(1, -130), dot(2, 420)], 0)).toEqual({ from: -300, to: 600 });
    expect(across(55, { from: 30, to: 80 })).toBe(WIDTH / 2);
  });

  it("covers no dot with another, however many are alike", () => {
    const all = Array.from({ length: 40 }, (_, n) => dot(n, 40 + (n % 5) / 10));
    const placed = stacked(all, { from: 30, to: 80 });
    expect(placed).toHaveLength(40);
    for (const [i, a] of placed.entries()) {
      for (const b of placed.slice(i + 1)) expect(a.level !== b.level || Math.abs(a.x - b.x) >= 8).toBe(true);
    }
  });

  it("has a limit at a whole unit, and none beyond its ends", () => {
    const scale = { from: -10, to: 80 };
    expect(limitAt(across(44.6, scale), scale)).toBe(45);
    expect(limitAt(-50, scale)).toBe(1);
    expect(limitAt(WIDTH + 50, scale)).toBe(80);
  });

  it("says of each stroke what it is", () => {
    expect(spoken(dot(12, 41.4, { said: "clean" }), "cm")).toBe("Frame 12: 41 cm, give or take 6, looked at and clean");
    expect(spoken(dot(12, 30, { suggested: true }), "cm")).toBe("Frame 12: 30 cm, give or take 6, not looked at, beyond the limit");
  });
});
