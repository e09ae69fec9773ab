import { describe, expect, it } from "vitest";
import { AppError } from "../api";
import type { Fault, Group, Share, Sheet } from "../domain";
import { dayAfter, dayBefore, dayInWords, daysBefore, today } from "./days";
import { freeKeys, keyRemark } from "./definitions";
import { sorted, tallied } from "./sessions.svelte";
import { page, peak, toSeconds, toX } from "./strip";
import { paceWords, ratePoints, shareWords } from "./summary.svelte";

describe("AppError", () => {
  it.each([
    ["busy: The library is in use.", "busy", "", "The library is in use."],
    ["problem/date: “x” is not a day: write it as year-month-day.", "problem", "date", "“x” is not a day: write it as year-month-day."],
    [new Error("gone: The file is gone."), "gone", "", "The file is gone."],
  ])("reads %s", (cause, code, field, sentence) => {
    const e = AppError.from(cause);
    expect([e.code, e.field, e.sentence]).toEqual([code, field, sentence]);
  });

  it("says so where the text has no code", () => {
    const e = AppError.from("Boom");
    expect(e.code).toBe("internal");
    expect(e.sentence).toContain("Boom");
  });
});

describe("the adding of clips", () => {
  const result = (name: string, clip_id: string) => ({ path: `/films/${name}`, name, clip_id, say: "" });
  const added = sorted([result("a", "1"), result("b", ""), result("c", "2"), result("d", "3")], new Set(["2"]));

  it("tells first what needs the coach, and never calls added what was there", () => {
    expect(added.map((r) => [r.name, r.word])).toEqual([
      ["b", "not added"],
      ["c", "there already"],
      ["a", "added"],
      ["d", "added"],
    ]);
  });

  it("is told in one line", () => {
    expect(tallied(added)).toBe("2 added, 1 there already, 1 not added");
    expect(tallied(added.slice(0, 1))).toBe("1 not added");
  });
});

describe("days", () => {
  it("move over months, leap days and years", () => {
    expect(dayAfter("2026-02-28")).toBe("2026-03-01");
    expect(dayAfter("2028-02-28")).toBe("2028-02-29");
    expect(dayBefore("2026-01-01")).toBe("2025-12-31");
    expect(daysBefore("2026-03-14", 28)).toBe("2026-02-14");
  });

  it("leave alone what is no day", () => {
    expect(dayAfter("2026-02-30")).toBe("2026-02-30");
    expect(dayInWords("soon")).toBe("");
    expect(dayInWords("2026-03-14")).toBe("Saturday, 14 March 2026");
  });

  it("is today where the computer stands", () => {
    expect(today(new Date(2026, 2, 14, 23, 59))).toBe("2026-03-14");
  });
});

describe("fault keys", () => {
  const fault = (id: string, key: string, retired = false): Fault => ({ id, code: id, label: "x", phase: "ready", sides: "both", weight: 1, key, retired });

  it("name the fault that owns a key already", () => {
    const all = [fault("LATE", "l"), fault("OLD", "o", true)];
    expect(keyRemark(fault("NEW", "l"), all)).toContain("LATE");
    expect(keyRemark(fault("NEW", "o"), all)).toMatch(/^Free/);
    expect(keyRemark(fault("LATE", "l"), all)).toMatch(/^Free/);
    expect(freeKeys(all)).not.toMatch(/\bl\b/);
    expect(freeKeys(all)).toMatch(/\bo\b/);
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
    const drawn = Array.from({ length: 100 }, (_, x) => peak(bins, 10, s, 100, x));
    expect(drawn[77]).toBeCloseTo(0.9);
    expect(drawn.filter((v) => v > 0)).toHaveLength(1);
  });
});

describe("numbers in words", () => {
  const share = (x: number, n: number): Share => ({ x, n, rate: x / n, low: 0.07, high: 0.25 });

  it("never show a percentage without its counts and interval", () => {
    // Wording of the project's own definition of a summary.
    expect(shareWords(share(7, 52))).toBe("7 of 52 strokes, 13 % (7–25)");
    expect(shareWords({ x: 1, n: 400, rate: 0.0025, low: 0.0004, high: 0.014 })).toBe("1 of 400 strokes, <1 % (<1–1)");
    expect(paceWords({ x: 5, minutes: 4.2, rate: 1.19, low: 0.39, high: 2.78 })).toBe("5 in 4.2 min, 1.2 a minute (0.4–2.8)");
  });

  it("pair the methods of each fault, without what has no strokes", () => {
    const group = (kind: Group["kind"], method: Group["method"], s: Share | null): Group => ({
      kind, method, drill_id: "", name: "", rung: 0, sessions: 1, turns: 1, seconds: 1, strokes: 1, good: 1, unlogged_turns: 0, unlogged_seconds: 0,
      streak: { longest: 0, target: 0, reached: false, turn_id: "", clip_id: "", frame: 0 },
      faults: [{ fault_id: "f", code: "LATE", label: "late", phase: "ready", weight: 1, cue: "", marks: 3, per_stroke: s, per_minute: null, mark_ids: [] }],
    });
    const sheet: Sheet = {
      player_id: "", name: "", drills: [],
      all: group("all", "free", share(7, 52)),
      methods: [group("method", "regular", share(2, 30)), group("method", "irregular", share(5, 22)), group("method", "free", null)],
    };
    expect(ratePoints(sheet).map((p) => [p.code, p.method, p.x])).toEqual([["LATE", "regular", 2], ["LATE", "irregular", 5]]);
  });
});
