import { expect, it } from "vitest";
import { isolated } from "./isolate";

// The marks are those of Unicode UAX #9: FSI begins an isolate, PDI ends it.
it("keeps a name's direction to itself, and leaves what runs from left to right alone", () => {
  expect(["", "Ada Lind", "乒乓 5/7"].map(isolated)).toEqual(["", "Ada Lind", "乒乓 5/7"]);
  expect(isolated("עידו")).toBe("\u2068עידו\u2069");
  expect(isolated("Ada \u202ednil")).toBe("\u2068Ada \u202ednil\u2069");
  expect(isolated("a\u2069\u202eb")).toBe("\u2068a\u202eb\u2069");
});
