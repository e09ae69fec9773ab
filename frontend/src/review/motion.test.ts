import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { flush } from "./clip.stub";
import { Motion } from "./motion";
import type { Surface } from "./surface";

let shown: number[][];
let lines: boolean;
let dialogs: { getBoundingClientRect(): object }[];

beforeEach(() => {
  shown = [];
  lines = false;
  dialogs = [];
  vi.stubGlobal("SVGElement", class {});
  vi.stubGlobal("devicePixelRatio", 2);
  vi.stubGlobal("window", { runtime: { EventsEmit: (_: string, ...payload: number[]) => shown.push(payload) } });
  vi.stubGlobal("document", { querySelectorAll: () => dialogs });
  vi.stubGlobal("fetch", () => Promise.resolve(new Response(new Float64Array([100, 50]).buffer)));
});
afterEach(() => vi.unstubAllGlobals());

/** A box of the page, 10 pixels of the screen from its corner, with a picture as large as it is. */
function stage() {
  const box = { parentElement: { querySelector: () => (lines ? {} : null), children: [], parentElement: { children: [] } } };
  return {
    element: box,
    box: { x: 10, y: 10, width: 100, height: 50 },
    placeOf: () => ({ left: 0, top: 0, width: 100, height: 50 }),
  } as unknown as Surface;
}

function moving() {
  const painted: number[] = [];
  const motion = new Motion(
    50,
    (n) => ({ address: `/frame/${n}?w=100`, part: null }),
    stage(),
    (n) => painted.push(n),
    (_, cause) => {
      throw cause;
    },
  );
  return { motion, painted };
}

test("pictures follow the clock, each event later than the one before", async () => {
  const { motion, painted } = moving();
  for (const n of [3, 4, 5]) {
    expect(motion.follow(n, 50)).toBe(true);
    await flush();
  }
  expect(painted).toEqual([3, 4, 5]);
  const events = shown.map((s) => s[0] ?? 0);
  expect(events).toEqual([...events].sort((a, b) => a - b));
  expect(new Set(events).size).toBe(3);
  expect(shown[0]?.slice(2)).toEqual([10, 10, 100, 50, 10, 10, 100, 50]);
});

test("boxes over the picture stay free, and lines over it leave it to the page", async () => {
  const { motion, painted } = moving();
  dialogs = [{ getBoundingClientRect: () => ({ x: 1, y: 2, width: 3, height: 4 }) }];
  motion.follow(3, 50);
  await flush();
  expect(shown.at(-1)?.slice(10)).toEqual([2, 4, 6, 8]);
  lines = true;
  // Until the page has its picture this one goes on.
  expect(motion.follow(4, 50)).toBe(false);
  await flush();
  expect(painted).toEqual([3, 4]);
  motion.hide();
  expect(shown.at(-1)?.[1]).toBe(-1);
  const events = shown.length;
  motion.hide();
  expect(motion.follow(5, 50)).toBe(false);
  await flush();
  expect(shown.length).toBe(events);
});
