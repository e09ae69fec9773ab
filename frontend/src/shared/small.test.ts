import { describe, expect, it } from "vitest";
import { AppError } from "../api/api";
import type { Fault } from "../api/domain";
import { dayAfter, dayBefore, dayInWords, dayShort, daysBefore, today } from "./days";
import { freeKeys, keyRemark, secondsOf, secondsText } from "../club/definitions";
import { sorted, tallied } from "../sessions/sessions.svelte";
import { page, peak, toSeconds, toX } from "../review/strip";

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
  const result = (name: string, clip_id: string, say = "") => ({ path: `/films/${name}`, name, clip_id, say });
  const added = sorted([result("a", "1"), result("b", "", "It is no film."), result("c", "2", "This film is in the library already."), result("d", "3")]);

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
    expect([dayShort("2026-03-14"), dayShort("2026-05-01"), dayShort("soon")]).toEqual(["14 Mar", "1 May", ""]);
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
    const drawn = Array.from({ length: 100 }, (_, x) => peak(bins, { from: 0, to: 10 }, s, 100, x));
    expect(drawn[77]).toBeCloseTo(0.9);
    expect(drawn.filter((v) => v > 0)).toHaveLength(1);
  });
});

it("seconds in a field have two decimals, nothing is 0, and what is no number is refused", () => {
  expect([secondsText(0.4), secondsText(0), secondsText(undefined), secondsText("0,")]).toEqual(["0.40", "", "", "0,"]);
  expect(["", "0.45", "0,456", ".5", "3", "-1", "soon", "1.", "0.4 s"].map(secondsOf)).toEqual([0, 0.45, 0.46, 0.5, 3, -1, -1, -1, -1]);
});
