import { describe, expect, it } from "vitest";
import type { Player, Reminder } from "../api/domain";
import { consentTag, grouped, named } from "./consent.svelte";

const remind = (name: string, kind: Reminder["kind"]): Reminder => ({ player_id: name, name, kind, clips: 1, say: "" });

describe("reminders", () => {
  it("says one player by name, and leaves several to be named", () => {
    expect(grouped([remind("Ana", "due"), remind("Ben", "missing"), remind("Cleo", "missing")]).map((s) => s.say)).toEqual([
      "Ana was to be deleted by now.",
      "2 players are filmed without a consent on record:",
    ]);
    expect(grouped([remind("Ben", "missing"), remind("Cleo", "missing")])[0]?.players.map((p) => p.name)).toEqual(["Ben", "Cleo"]);
    expect(grouped([])).toEqual([]);
  });

  it.each([
    [[], ""],
    [["A"], "A"],
    [["A", "B", "C"], "A, B and C"],
    [["A", "B", "C", "D"], "A, B, C and 1 other"],
    [["A", "B", "C", "D", "E"], "A, B, C and 2 others"],
  ])("names %s", (names, want) => expect(named(names)).toBe(want));
});

describe("the tag of a player", () => {
  const p = (more: Partial<Player>): Player => ({ id: "p", name: "Ana", hand: "right", ...more });
  it.each([
    [{}, "no consent on record"],
    [{ consent_from: "2026-03-15" }, "no consent on record"],
    [{ consent_from: "2026-03-14" }, ""],
    [{ consent_from: "2026-01-01", consent_until: "2026-03-14" }, ""],
    [{ consent_from: "2026-01-01", consent_until: "2026-03-13" }, "consent over"],
    [{ consent_from: "2026-01-01", delete_after: "2026-03-13" }, "to be deleted"],
    [{ consent_from: "2026-01-01", delete_after: "2026-03-14" }, ""],
  ])("%o on 14 March 2026", (more, want) => expect(consentTag(p(more), "2026-03-14")).toBe(want));
});
