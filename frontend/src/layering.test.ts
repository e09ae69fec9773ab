// Which folder may import which: a feature knows itself, what is shared and the
// program's calls, and no other feature. No import, of a type neither, runs in a circle.
import { expect, it } from "vitest";

const FEATURES = ["sessions", "review", "summary", "agreement", "club", "guide"];

const ALLOWED: Record<string, readonly string[]> = {
  api: ["api"],
  shared: ["shared", "api"],
  ...Object.fromEntries(FEATURES.map((f) => [f, [f, "shared", "api"]])),
  frame: ["frame", ...FEATURES, "shared", "api"],
  ".": ["frame", "shared"],
};

const sources: Record<string, string> = import.meta.glob(["./**/*.ts", "./**/*.svelte", "./**/*.css", "!./layering.test.ts"], {
  query: "?raw",
  import: "default",
  eager: true,
});

/** The file that a relative import names, "" where it lies outside the page. */
function resolve(from: string, to: string): string {
  const path = `.${new URL(to, `http://page/${from}`).pathname}`;
  return ["", ".ts", ".svelte"].map((end) => path + end).find((p) => p in sources) ?? "";
}

function importsOf(file: string): string[] {
  const named = (sources[file] ?? "").matchAll(/\b(?:from|import)\s*\(?\s*"(\.[^"]+)"/g);
  return [...new Set([...named].map((m) => resolve(file.slice(2), m[1] ?? "")))].filter((to) => to !== "");
}

function folder(file: string): string {
  return file.split("/").length > 2 ? (file.split("/")[1] ?? "") : ".";
}

const arrows = new Map(Object.keys(sources).map((file) => [file, importsOf(file)]));

/** The files of one circle, first to last; none where there is no circle. */
function circle(): string[] {
  const done = new Set<string>();
  const visit = (file: string, path: string[]): string[] => {
    const at = path.indexOf(file);
    if (at >= 0) return path.slice(at);
    if (done.has(file)) return [];
    for (const to of arrows.get(file) ?? []) {
      const found = visit(to, [...path, file]);
      if (found.length > 0) return found;
    }
    done.add(file);
    return [];
  };
  for (const file of arrows.keys()) {
    const found = visit(file, []);
    if (found.length > 0) return found;
  }
  return [];
}

it("reads the whole page", () => {
  expect(arrows.size).toBeGreaterThan(100);
  expect([...arrows.values()].flat().length).toBeGreaterThan(300);
});

it("has only the imports that are allowed", () => {
  const wrong = [...arrows].flatMap(([file, to]) =>
    to.filter((t) => !ALLOWED[folder(file)]?.includes(folder(t))).map((t) => `${file} -> ${t}`),
  );
  expect(wrong).toEqual([]);
});

it("has no circle of imports", () => {
  expect(circle()).toEqual([]);
});
