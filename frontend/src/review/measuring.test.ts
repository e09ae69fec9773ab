import { afterEach, describe, expect, it, vi } from "vitest";
import type { ClipMeasures, Fault, MeasuredStroke } from "../api/domain";
import { App } from "../shared/app.svelte";
import type { BenchCore } from "./core";
import { Measuring } from "./measuring.svelte";

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
const stroke = (frame: number, at: number, more: Partial<MeasuredStroke> = {}): MeasuredStroke => ({
  clip_id: "",
  date: "",
  stroke_id: `s${frame}`,
  turn_id: "t",
  player_id: "p",
  proposed: null,
  frame,
  seconds: frame / 50,
  values: [{ measure: "feet", at, half: 6, by_coach: false }],
  ready: null,
  suggestions: [],
  marked: [],
  clean: [],
  ...more,
});

function program(read: () => Promise<ClipMeasures>) {
  const calls = {
    Measures: {
      Read: vi.fn(read),
      Watch: vi.fn(() => Promise.resolve({ state: "running", done: 0, all: 3, say: "" })),
      Stop: vi.fn(() => Promise.resolve(null)),
      Limit: vi.fn(() => Promise.resolve(47)),
    },
    Catalogue: {
      SaveFault: vi.fn((f: Fault) => Promise.resolve(f)),
      Get: vi.fn(() => Promise.resolve({ coaches: [], players: [], drills: [], faults: [close] })),
    },
  };
  vi.stubGlobal("window", { go: { main: calls } });
  const app = new App();
  app.catalogue = { coaches: [], players: [], drills: [], faults: [close] };
  const bench = { app, clip: { id: "c" }, notify: () => {} } as unknown as BenchCore;
  return { calls, app, measuring: new Measuring(bench) };
}

describe("measuring", () => {
  afterEach(() => vi.unstubAllGlobals());
  const progress = { state: "done" as const, done: 3, all: 3, say: "" };

  it("tells what a coach has said of each stroke", async () => {
    const strokes = [
      stroke(10, 38, { marked: ["f"] }),
      stroke(20, 62, { clean: ["f"] }),
      stroke(30, 35, { suggestions: [{ fault_id: "f", chance: 0.97, say: "35 cm ±6" }] }),
    ];
    const { measuring } = program(() => Promise.resolve({ progress, strokes }));
    await measuring.refresh();
    const [row, ...others] = measuring.rows;
    expect(row?.fault?.code).toBe("CLOSE");
    expect(row?.dots.map((d) => [d.key, d.said, d.suggested])).toEqual([
      ["10", "marked", false],
      ["20", "clean", false],
      ["30", "", true],
    ]);
    // Measures that no fault goes with have a row too.
    expect(others.map((r) => [r.measure, r.fault, r.dots.length])).toEqual([
      ["elbow", null, 0],
      ["hand", null, 0],
      ["ready", null, 0],
    ]);
  });

  it("tells margins apart by the fault of a hand that comes back late", async () => {
    const late: Fault = { ...close, id: "l", code: "LATE", measure: "hand", limit: 0 };
    const margin = (at: number, by_coach: boolean) => [{ measure: "ready" as const, at, half: 60, by_coach }];
    const strokes = [
      stroke(10, 0, { values: margin(-80, false), marked: ["l"] }),
      stroke(20, 0, { values: margin(120, true), clean: ["l"] }),
    ];
    const { app, measuring } = program(() => Promise.resolve({ progress, strokes }));
    app.catalogue = { ...app.catalogue, faults: [close, late] };
    await measuring.refresh();
    const row = measuring.rows.at(-1);
    expect([row?.measure, row?.fault]).toEqual(["ready", null]);
    expect(row?.dots.map((d) => [d.at, d.said, d.byCoach])).toEqual([
      [-80, "marked", false],
      [120, "clean", true],
    ]);
  });

  it("lets go of what comes late for another clip", async () => {
    let answer: (m: ClipMeasures) => void = () => {};
    const { measuring } = program(() => new Promise((done) => (answer = done)));
    const asked = measuring.refresh();
    measuring.close();
    answer({ progress, strokes: [stroke(10, 38)] });
    await asked;
    expect(measuring.strokes).toEqual([]);
  });

  it("keeps the limit that the marks tell", async () => {
    const { calls, measuring } = program(() => Promise.resolve({ progress, strokes: [] }));
    await measuring.refresh();
    await measuring.limitFromMarks(close);
    expect(calls.Measures.Limit).toHaveBeenCalledWith("c", "f");
    expect(calls.Catalogue.SaveFault).toHaveBeenCalledWith({ ...close, limit: 47 });
  });

  it("keeps no limit where the marks tell none", async () => {
    const { app, calls, measuring } = program(() => Promise.resolve({ progress, strokes: [] }));
    await measuring.refresh();
    calls.Measures.Limit.mockImplementation(() => Promise.reject(new Error("problem: A limit takes 5 strokes.")));
    await measuring.limitFromMarks(close);
    expect(calls.Catalogue.SaveFault).not.toHaveBeenCalled();
    expect(app.message.wrong).toBe(true);
  });
});
