import { describe, expect, it } from "vitest";
import { loopFrom, loopOver, loopTo, loopWrap } from "./loop";

const turn = { id: "t", clip_id: "c", player_id: "p", drill_id: "d", first: 10, last: 20, first_ticks: 0, last_ticks: 0 };

describe("a loop", () => {
  it("runs from here to the end, or to where it ended already", () => {
    expect(loopFrom(5, null, 100)).toEqual({ first: 5, last: 99 });
    expect(loopFrom(5, { first: 1, last: 50 }, 100)).toEqual({ first: 5, last: 50 });
    expect(loopFrom(60, { first: 1, last: 50 }, 100)).toEqual({ first: 60, last: 99 });
  });

  it("runs up to here from the start, or from where it started already", () => {
    expect(loopTo(30, null)).toEqual({ first: 0, last: 30 });
    expect(loopTo(30, { first: 7, last: 99 })).toEqual({ first: 7, last: 30 });
    expect(loopTo(5, { first: 7, last: 99 })).toEqual({ first: 0, last: 5 });
  });

  it("goes over a turn, and ends when asked for the same again", () => {
    expect(loopOver(turn, null)).toEqual({ first: 10, last: 20 });
    expect(loopOver(turn, { first: 0, last: 99 })).toEqual({ first: 10, last: 20 });
    expect(loopOver(turn, { first: 10, last: 20 })).toBeNull();
  });

  it("goes on where it is, and turns back past its end and before its start", () => {
    const loop = { first: 10, last: 20 };
    expect([9, 10, 20, 21].map((n) => loopWrap(n, loop))).toEqual([10, 10, 20, 10]);
    expect(loopWrap(99, null)).toBe(99);
  });
});
