import { expect, it } from "vitest";
import type { HandedOver, MergeDoubt } from "../api/domain";
import { countWords, several, writtenWords } from "./exchange.svelte";

const doubt = (key: string, kind: string, ...values: string[]): MergeDoubt => ({
  key,
  kind,
  say: key,
  choices: values.map((value) => ({ value, say: value })),
  chosen: "",
});

it("says what comes in", () => {
  expect(countWords({ table: "mark", new: 12, changed: 1, removed: 0, back: 0 })).toBe("13 marks: 12 new, 1 changed");
  expect(countWords({ table: "session", new: 1, changed: 0, removed: 0, back: 0 })).toBe("1 session: 1 new");
  expect(countWords({ table: "coach", new: 0, changed: 0, removed: 1, back: 1 })).toBe("2 coaches: 1 removed, 1 back");
});

it("says what was handed over, and which films were not", () => {
  const out: HandedOver = { path: "", sessions: 1, clips: 2, turns: 3, strokes: 4, marks: 1, removed: 0, films: 0, missing: [] };
  expect(writtenWords(out)).toMatch(/^No file/);
  expect(writtenWords({ ...out, path: "/a.json", films: 1, missing: ["b.mp4"] })).toBe(
    "Written to /a.json: 1 session, 2 clips, 4 strokes, 1 mark, 1 film beside it. Not in their place, and not copied: b.mp4.",
  );
});

it("puts questions with the same answers together, but not those whose answers mean other turns each time", () => {
  const doubts = [
    doubt("a", "same", "same", "apart"),
    doubt("b", "same", "same", "apart"),
    doubt("c", "removed", "keep", "remove"),
    doubt("d", "turns", "first", "second"),
    doubt("e", "turns", "first", "second"),
  ];
  expect(several(doubts).map((all) => all.map((d) => d.key))).toEqual([["a", "b"]]);
});
