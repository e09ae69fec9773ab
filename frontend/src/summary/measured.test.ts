import { afterEach, describe, expect, it, vi } from "vitest";
import type { Fault, MeasuredStroke, SummaryQuery } from "../api/domain";
import { App } from "../shared/app.svelte";
import { MeasuredStrokes } from "./measured.svelte";

const close: Fault = {
  id: "f",
  code: "CLOSE",
  label: "close",
  phase: "footwork",
  sides: "both",
  weight: 3,
  key: "c",
  measure: "feet",
  limit: 45,
};
const query: SummaryQuery = { players: ["p"], drills: [], methods: [], from: "", to: "", split: "", names: false, unconsented: false };
const stroke = (clip: string, frame: number, at: number, more: Partial<MeasuredStroke> = {}): MeasuredStroke => ({
  clip_id: clip,
  date: "2026-03-14",
  stroke_id: "",
  turn_id: "",
  player_id: "p",
  proposed: null,
  frame,
  seconds: 0,
  values: [{ measure: "feet", at, half: 6, by_coach: false }],
  ready: null,
  suggestions: [],
  marked: [],
  clean: [],
  ...more,
});

afterEach(() => vi.unstubAllGlobals());

describe("the measured strokes of several clips", () => {
  it("are told apart by clip and frame, and lead to their picture", async () => {
    const Strokes = vi.fn(() => Promise.resolve([stroke("a", 10, 38, { marked: ["f"] }), stroke("b", 10, 62, { clean: ["f"] })]));
    vi.stubGlobal("window", { go: { main: { Measures: { Strokes } } } });
    const app = new App();
    const review = vi.spyOn(app, "review").mockImplementation(() => undefined);
    const strokes = new MeasuredStrokes(app, () => Promise.resolve());
    await strokes.load(query);
    expect(Strokes).toHaveBeenCalledWith(query);
    const dots = strokes.dots("feet", close);
    expect(dots.map((d) => [d.key, d.at, d.said])).toEqual([
      ["0", 38, "marked"],
      ["1", 62, "clean"],
    ]);
    expect(dots[1]?.name).toMatch(/, frame 10$/);
    expect(strokes.dots("elbow", undefined)).toEqual([]);
    strokes.show("1");
    expect(review).toHaveBeenCalledWith("b", 10);
    strokes.clear();
    expect(strokes.strokes).toBeNull();
  });

  it("a choice that is given up has no strokes, however late they come", async () => {
    let answer: (s: MeasuredStroke[]) => void = () => {};
    vi.stubGlobal("window", { go: { main: { Measures: { Strokes: () => new Promise<MeasuredStroke[]>((r) => (answer = r)) } } } });
    const strokes = new MeasuredStrokes(new App(), () => Promise.resolve());
    const loaded = strokes.load(query);
    strokes.clear();
    answer([stroke("a", 10, 38)]);
    await loaded;
    expect(strokes.strokes).toBeNull();
  });
});
