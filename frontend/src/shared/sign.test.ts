import { expect, it } from "vitest";
import { signPath } from "./sign";

it("draws a circle round its first place through its second", () => {
  // 3, 4, 5: the radius is that of the oldest right-angled triangle.
  expect(signPath({ kind: "circle", x1: 0.5, y1: 0.5, x2: 0.875, y2: 1 }, 8, 8)).toBe("M-1 4 a5 5 0 1 0 10 0 a5 5 0 1 0 -10 0");
});

it("draws an arrow to its second place, with two barbs there that turn back", () => {
  const path = signPath({ kind: "arrow", x1: 0, y1: 0.5, x2: 1, y2: 0.5 }, 300, 100);
  const numbers = path.match(/-?[\d.]+/g)?.map(Number) ?? [];
  expect(numbers.slice(0, 6)).toEqual([0, 50, 300, 50, 300, 50]);
  const [ax = 0, ay = 0] = numbers.slice(6, 8);
  const [bx = 0, by = 0] = numbers.slice(10, 12);
  expect(Math.hypot(300 - ax, 50 - ay)).toBeCloseTo(10); // a thirtieth of the picture
  expect([bx, by]).toEqual([expect.closeTo(ax), expect.closeTo(100 - ay)]);
  expect(ax).toBeLessThan(300);
});
