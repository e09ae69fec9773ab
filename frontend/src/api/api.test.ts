import { describe, expect, it } from "vitest";
import { AppError } from "./api";

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
