import { describe, expect, it } from "vitest";
import { dayAfter, dayBefore, dayInWords, dayShort, daysBefore, today } from "./days";

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
