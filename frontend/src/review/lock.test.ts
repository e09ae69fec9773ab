import { describe, expect, it } from "vitest";
import { Timeline } from "../shared/timeline";
import { beside, turned } from "./lock";

const even = (rate: number, n: number) =>
  new Timeline(
    Float64Array.from({ length: n }, (_, i) => i / rate),
    n / rate,
  );

/** A film whose pictures stand between a half and one and a half times as long. */
function uneven(random: () => number, rate: number, n: number): Timeline {
  let at = random();
  const times = Float64Array.from({ length: n }, () => (at += (0.5 + random()) / rate));
  return new Timeline(times, at + 1 / rate);
}

describe("two clips that are held together", () => {
  const slow = even(25, 100);
  const fast = even(50, 200);
  const lock = { frame: 10, other: 60, pace: 1 };

  it("step in real time at two rates, and back to where they were", () => {
    expect([10, 11, 12, 0, 79].map((n) => beside(lock, slow, fast, n))).toEqual([60, 62, 64, 40, 198]);
    expect([60, 61, 62, 58].map((n) => beside(turned(lock), fast, slow, n))).toEqual([10, 10, 11, 9]);
  });

  it("say where one shows nothing", () => {
    expect(beside(lock, slow, fast, 80)).toBe(-1);
    expect(beside({ ...lock, other: 2 }, slow, fast, 8)).toBe(-1);
    expect(beside(lock, slow, even(50, 0), 8)).toBe(-1);
  });

  it("allow for a clip that plays slower than it was filmed", () => {
    expect(beside({ ...lock, pace: 4 }, slow, fast, 11)).toBe(68);
    expect(beside(turned({ ...lock, pace: 4 }), fast, slow, 68)).toBe(11);
  });

  it("show the nearest picture whatever their rates", () => {
    for (let seed = 1; seed <= 100; seed++) {
      let x = seed * 7919;
      const random = () => (x = (x * 48271) % 2147483647) / 2147483647;
      const [a, b] = [uneven(random, 20 + 100 * random(), 60), uneven(random, 20 + 100 * random(), 60)];
      const held = { frame: Math.floor(60 * random()), other: Math.floor(60 * random()), pace: 1 };
      expect(beside(held, a, b, held.frame)).toBe(held.other);
      for (let n = 0; n < 60; n++) {
        const at = b.seconds(held.other) + a.seconds(n) - a.seconds(held.frame);
        const got = beside(held, a, b, n);
        if (got < 0) {
          expect(at < b.seconds(0) || at > b.end - 1e-5).toBe(true);
          continue;
        }
        const apart = Array.from({ length: 60 }, (_, k) => Math.abs(b.seconds(k) - at));
        expect(apart[got]).toBeLessThanOrEqual(Math.min(...apart) + 3e-6);
      }
    }
  });
});
