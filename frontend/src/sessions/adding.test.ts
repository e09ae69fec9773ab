import { describe, expect, it } from "vitest";
import { sorted, tallied } from "./sessions.svelte";

describe("the adding of clips", () => {
  const result = (name: string, clip_id: string, say = "") => ({ path: `/films/${name}`, name, clip_id, say });
  const added = sorted([
    result("a", "1"),
    result("b", "", "It is no film."),
    result("c", "2", "This film is in the library already."),
    result("d", "3"),
  ]);

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
