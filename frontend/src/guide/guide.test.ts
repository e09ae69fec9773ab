// The guide says what is there: its keys, chapters, pictures and the words on the screen.
import { expect, it } from "vitest";
import { ACTIONS, ACTION_IDS } from "../shared/actions";
import { cap } from "../shared/keys";
import { CHAPTERS, PICTURES } from "./chapters";
import { chapterOf, linesOf, plain, search } from "./text";

const page: Record<string, string> = import.meta.glob(["../**/*.svelte", "../**/*.ts", "!../**/*.test.ts"], {
  query: "?raw",
  import: "default",
  eager: true,
});

const lines = CHAPTERS.flatMap((c) => c.blocks.flatMap((b) => linesOf(b).map((line) => ({ chapter: c.id, line }))));
const pieces = lines.flatMap(({ chapter, line }) => line.map((p) => ({ chapter, ...p })));
const ids = new Set(CHAPTERS.map((c) => c.id));
const usual = (id: keyof typeof ACTIONS) => ACTIONS[id].keys.map((k) => cap(k)).join(" ");

it("has its chapters, short ones, in order", () => {
  expect(CHAPTERS.length).toBeGreaterThan(12);
  expect(ids.size).toBe(CHAPTERS.length);
  for (const c of CHAPTERS) {
    const words = c.blocks
      .flatMap(linesOf)
      .map((l) => plain(l, usual))
      .join(" ")
      .split(/\s+/).length;
    expect(words, c.id).toBeLessThan(420);
    expect(c.title, c.id).not.toBe("");
  }
});

it("names keys only by what they do, so that changed keys show", () => {
  const named = /\b(?:Ctrl|Shift|Alt|Enter|Space|Escape|Esc|Tab|Delete|Insert|Backspace|F\d{1,2})\b|[←→↑↓]/;
  const typed = pieces.filter((p) => p.kind !== "key" && named.test(p.text)).map((p) => `${p.chapter}: ${p.kind !== "key" ? p.text : ""}`);
  expect(typed).toEqual([]);
  expect(pieces.filter((p) => p.kind === "key").length).toBeGreaterThan(60);
});

it("refuses an action that there is not", () => {
  expect(() => chapterOf("x", "# X\n\nPress {flyAway}.")).toThrow("flyAway");
});

it("has no dead link", () => {
  const links = pieces.flatMap((p) => (p.kind === "link" ? [p] : []));
  expect(links.length).toBeGreaterThan(15);
  expect(links.filter((l) => !ids.has(l.chapter) || l.chapter.length === 0).map((l) => l.chapter)).toEqual([]);
  const opened = Object.entries(page).flatMap(([file, source]) => {
    const places = file.endsWith("chapterhere.ts") ? /return (?:[^";]*\? )?"(\w+)"(?: : "(\w+)")?/g : /app\.guide = "(\w+)"/g;
    return [...source.matchAll(places)].flatMap((m) => m.slice(1)).filter((id) => id !== undefined);
  });
  expect(opened.length).toBeGreaterThan(10);
  expect(opened.filter((id) => !ids.has(id))).toEqual([]);
});

it("shows every picture that there is, and no other", () => {
  const shown = CHAPTERS.flatMap((c) => c.blocks.flatMap((b) => (b.kind === "picture" ? [b.name] : [])));
  expect(shown.toSorted()).toEqual([...PICTURES.keys()].toSorted());
});

// What is no word on a button but an example of what the summary may say.
const EXAMPLES = /^(?:7 of 52|Of 31|Cannot tell yet: film 40|A change$|a difference$)/;

it("quotes words that stand on the screen", () => {
  const sources = Object.entries(page)
    .filter(([file]) => !file.startsWith("./"))
    .map(([, source]) => source.replaceAll(/\s+/g, " "))
    .join("\n");
  const said = pieces.flatMap((p) => (p.kind === "said" && !EXAMPLES.test(p.text) ? [p.text] : []));
  expect(said.length).toBeGreaterThan(15);
  expect(said.filter((text) => !sources.toLowerCase().includes(text.toLowerCase()))).toEqual([]);
});

it("finds words together, whatever the case, also by a key", () => {
  const found = search(CHAPTERS, "CONSENT group", usual);
  expect(found.map((h) => h.chapter.id)).toContain("care");
  expect(search(CHAPTERS, usual("guide"), usual).map((h) => h.chapter.id)).toContain("start");
  expect(search(CHAPTERS, "the pass", usual)[0]?.block).toBe(-1);
  expect(search(CHAPTERS, "  ", usual)).toEqual([]);
  expect(search(CHAPTERS, "zebra", usual)).toEqual([]);
});

it("reads a chapter", () => {
  const c = chapterOf("x", "# Title\n\nOne **two** {play},\n_three_ [four](club).\n\n- a\n- b\n\n1. c\n\n![seen](review)\n");
  expect(c.title).toBe("Title");
  expect(c.blocks.map((b) => b.kind)).toEqual(["text", "list", "steps", "picture"]);
  const [first] = c.blocks.flatMap(linesOf);
  expect(plain(first ?? [], usual)).toBe(`One two ${usual("play")}, three four.`);
  expect(ACTION_IDS).toContain("play");
});
