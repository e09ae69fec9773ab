import { expect, it } from "vitest";
import type { AgreementLine, Disagreement, SecondLook } from "../api/domain";
import { apart, CHOICES, figure, nextOpen, percent, stateOf } from "./words";

it("writes a coefficient with its interval, where it has one", () => {
  expect(figure({ value: 0.618, range: { low: 0.41, high: 0.777 } })).toBe("0.62 (0.41–0.78)");
  expect(figure({ value: 1, range: null })).toBe("1.00");
  expect(figure(null)).toBe("");
  expect(percent({ value: 0.944, range: null })).toBe("94 %");
});

it("says how far apart the same fault was put", () => {
  const middle = (median: number, low: number, high: number) => ({ n: 9, median, low, high });
  const line = (frames: number, millis: number) =>
    ({ frames: middle(frames, frames - 1, frames + 1), millis: middle(millis, 0, 0) }) as AgreementLine;
  expect(apart(line(3, 60))).toBe("3 frames later (60 ms), middle half 2 to 4");
  expect(apart(line(-1, -20))).toBe("1 frame sooner (-20 ms), middle half -2 to 0");
  expect(apart(line(0, 0))).toBe("at the same frame (0 ms), middle half -1 to 1");
  expect(apart({ frames: null, millis: null } as AgreementLine)).toBe("");
});

it("goes to the next stroke that is not settled, round the list", () => {
  const list = ["a", "b", "c"].map((stroke_id) => ({ stroke_id }) as Disagreement);
  expect(nextOpen(list, new Set(["b"]), 0)).toBe(2);
  expect(nextOpen(list, new Set(["b"]), 2)).toBe(0);
  expect(nextOpen(list, new Set(["a", "b", "c"]), 1)).toBe(1);
});

it("has one action a decision", () => {
  expect(new Set(CHOICES.map((c) => c.action)).size).toBe(5);
  expect(CHOICES.map((c) => c.say("Ana", "Ben"))[1]).toBe("Only Ana");
});

it("says how far a second look is", () => {
  const look = { turns: ["a", "b"], left: ["b"], is_mine: true, finished: null } as unknown as SecondLook;
  expect(stateOf(look)).toBe("goes on, 1 of 2 turns are left");
  expect(stateOf({ ...look, is_mine: false })).toBe("goes on");
  expect(stateOf({ ...look, finished: "2026-11-29T10:00:00Z" })).toBe("finished on 2026-11-29");
});
