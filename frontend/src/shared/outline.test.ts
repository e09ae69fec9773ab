import { describe, expect, it } from "vitest";
import { outline, signShape, type Shape } from "./outline";
import text from "../../../internal/picture/testdata/outlines.json?raw";

interface Kept {
  name: string;
  drawing: Shape;
  width: number;
  height: number;
  outline: ReturnType<typeof outline>;
}

describe("the outlines of pages and films", () => {
  const kept = JSON.parse(text) as Kept[];
  it.each(kept.map((k): [string, Kept] => [`${k.name} in ${k.width} x ${k.height}`, k]))("%s", (_, k) => {
    const got = outline(k.drawing, k.width, k.height);
    expect(got.label).toBe(k.outline.label);
    expect(got.lines.map((l) => l.length)).toEqual(k.outline.lines.map((l) => l.length));
    const numbers = (o: Kept["outline"]) => [o.at, ...o.lines.flat()].flatMap((p) => [p.x, p.y]);
    const want = numbers(k.outline);
    numbers(got).forEach((v, i) => {
      expect(v).toBeCloseTo(want[i] ?? NaN, 6);
    });
  });
});

it("makes a circle round its first place of a sign", () => {
  // 3, 4, 5: the radius is that of the oldest right-angled triangle.
  const shape = signShape({ kind: "circle", x1: 0.5, y1: 0.5, x2: 0.875, y2: 1 });
  const [line] = outline(shape, 8, 8).lines;
  expect(line?.[0]).toEqual({ x: 9, y: 4 });
});
