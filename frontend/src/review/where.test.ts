import { expect, it } from "vitest";
import { frameWritten } from "./where";

it.each([
  ["0", 0],
  [" 74 ", 74],
  ["75", null],
  ["0:01", 25],
  ["0:01.5", 37],
  ["1,2", 30],
  ["2s", 50],
  ["2 s", 50],
  ["0:00:02", 50],
  ["0:03", 75],
  ["0:04", null],
  ["1:00:00", null],
  ["", null],
  ["x", null],
  ["-1", null],
  ["1:", null],
])("%s is frame %s", (text, frame) => {
  expect(frameWritten(text, 75, 3, (s) => Math.floor(s * 25 + 1e-6))).toBe(frame);
});
