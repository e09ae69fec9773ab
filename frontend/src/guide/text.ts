// The chapters of the guide are written as plain text: "# " begins the title, "## " a part,
// "- " and "1. " entries of a list, "![words](name)" is a picture, an empty line ends a
// paragraph. Within a line **bold**, _words on the screen_, [words](chapter) and {action},
// which stands for the key that the action has.
import { ACTION_IDS, type ActionId } from "../shared/actions";
import { finds } from "../shared/alike";

type Piece =
  { kind: "text" | "strong" | "said"; text: string } | { kind: "key"; action: ActionId } | { kind: "link"; text: string; chapter: string };

export type Line = readonly Piece[];

export type Block =
  { kind: "part" | "text"; line: Line } | { kind: "list" | "steps"; lines: Line[] } | { kind: "picture"; words: string; name: string };

export interface Chapter {
  id: string;
  title: string;
  blocks: readonly Block[];
}

const INLINE = /\*\*(.+?)\*\*|_(.+?)_|\[(.+?)\]\((\w+)\)|\{(\w+)\}/g;

function actionOf(id: string): ActionId {
  const action = ACTION_IDS.find((a) => a === id);
  if (!action) throw new Error(`the guide names an action that there is not: {${id}}`);
  return action;
}

function lineOf(text: string): Line {
  const pieces: Piece[] = [];
  let from = 0;
  for (const m of text.matchAll(INLINE)) {
    if (m.index > from) pieces.push({ kind: "text", text: text.slice(from, m.index) });
    from = m.index + m[0].length;
    const [, strong, said, words, chapter, action] = m;
    if (strong !== undefined) pieces.push({ kind: "strong", text: strong });
    else if (said !== undefined) pieces.push({ kind: "said", text: said });
    else if (words !== undefined && chapter !== undefined) pieces.push({ kind: "link", text: words, chapter });
    else pieces.push({ kind: "key", action: actionOf(action ?? "") });
  }
  if (from < text.length) pieces.push({ kind: "text", text: text.slice(from) });
  return pieces;
}

function blockOf(text: string): Block {
  const lines = text.split("\n");
  const first = lines[0] ?? "";
  const picture = /^!\[(.+)\]\((\w+)\)$/.exec(first);
  if (picture) return { kind: "picture", words: picture[1] ?? "", name: picture[2] ?? "" };
  if (first.startsWith("## ")) return { kind: "part", line: lineOf(first.slice(3)) };
  for (const [kind, mark] of [
    ["list", /^- /],
    ["steps", /^\d+\. /],
  ] as const) {
    if (mark.test(first)) return { kind, lines: lines.map((l) => lineOf(l.replace(mark, ""))) };
  }
  return { kind: "text", line: lineOf(lines.join(" ")) };
}

/** A chapter from its file's text. Throws where it names an action that there is not. */
export function chapterOf(id: string, source: string): Chapter {
  const [title = "", ...blocks] = source.trim().split(/\n{2,}/);
  return { id, title: title.replace(/^# /, ""), blocks: blocks.map(blockOf) };
}

export function linesOf(block: Block): readonly Line[] {
  if (block.kind === "picture") return [[{ kind: "text", text: block.words }]];
  return "lines" in block ? block.lines : [block.line];
}

/** A line as it is read, with the caps of its keys. */
export function plain(line: Line, cap: (action: ActionId) => string): string {
  return line.map((p) => (p.kind === "key" ? cap(p.action) : p.text)).join("");
}

export interface Hit {
  chapter: Chapter;
  /** The block in the chapter, -1 for its title. */
  block: number;
  text: string;
}

/** Where every word of a search stands together, whatever the accents and the case; titles first. */
export function search(chapters: readonly Chapter[], words: string, cap: (action: ActionId) => string): Hit[] {
  if (words.trim() === "") return [];
  const titles = chapters.map((chapter) => ({ chapter, block: -1, text: chapter.title }));
  const texts = chapters.flatMap((chapter) =>
    chapter.blocks.flatMap((b, block) => linesOf(b).map((line) => ({ chapter, block, text: plain(line, cap) }))),
  );
  return [...titles, ...texts].filter((hit) => finds(words, hit.text));
}
