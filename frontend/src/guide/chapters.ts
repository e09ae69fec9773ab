import { chapterOf } from "./text";

const sources = import.meta.glob<string>("./chapters/*.md", { query: "?raw", import: "default", eager: true });
const files = import.meta.glob<string>("./pictures/*.webp", { query: "?url", import: "default", eager: true });

/** The guide, in the order of the files' numbers. */
export const CHAPTERS = Object.keys(sources)
  .toSorted()
  .map((file) => chapterOf(file.replace(/^.*\/\d+-|\.md$/g, ""), sources[file] ?? ""));

/** Addresses of the pictures, which build/screenshots.sh draws, by their names. */
export const PICTURES: ReadonlyMap<string, string> = new Map(
  Object.entries(files).map(([file, address]) => [file.replace(/^.*\/|\.webp$/g, ""), address]),
);
