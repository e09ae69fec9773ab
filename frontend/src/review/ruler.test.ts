import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { PicturePlace, RulerPlaced, RulerStretch, RulerView } from "../api/domain";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { flush, stubClip, stubOpened } from "./clip.stub";
import { stubBox, stubImages } from "./images.stub";
import { rulerKeys } from "./rulerkeys";
import { unbroken } from "./rulerwords";

const NONE: RulerView = {
  laid: false,
  placed: { frame: 0, corners: [], tops: [], wide: false, sd: 0 },
  snapped: false,
  judged: false,
  support: 0,
  good: false,
  say: "",
  far: "",
  from: "",
  corners: [],
  focal: 0,
  position: [0, 0, 0],
  lines: [],
};
const at = (x: number, y: number): PicturePlace => ({ x, y });
const CORNERS = [at(10, 20), at(30, 30), at(50, 20), at(30, 10)];

function viewOf(placed: RulerPlaced, more: Partial<RulerView> = {}): RulerView {
  return { ...NONE, laid: true, judged: true, good: true, say: "The lines fit well.", placed, ...more };
}

/** A program behind the page that keeps one ruler. */
function backend() {
  const clip = stubClip(100);
  const kept: { view: RulerView; suggested: RulerView; found: RulerView } = { view: NONE, suggested: NONE, found: NONE };
  const state = {
    dir: "/x",
    name: "x",
    read_only: false,
    warning: "",
    coach_id: "k",
    undo: "lay",
    redo: "",
    demo: false,
    blind: false,
    tested: false,
    nameless: false,
  };
  const ruler = {
    Read: vi.fn(() => Promise.resolve(kept.view)),
    Try: vi.fn((_: string, p: RulerPlaced) => Promise.resolve(viewOf(p, { judged: false, good: false, say: "" }))),
    Lay: vi.fn((_: string, p: RulerPlaced, pull: boolean) => {
      kept.view = viewOf(p, { snapped: pull });
      return Promise.resolve(kept.view);
    }),
    Suggest: vi.fn(() => Promise.resolve(kept.suggested)),
    Find: vi.fn(() => Promise.resolve(kept.found)),
    Holds: vi.fn(() => Promise.resolve({ first: 0, last: 99, say: "" })),
    Remove: vi.fn(() => {
      kept.view = NONE;
      return Promise.resolve(null);
    }),
    Measure: vi.fn((_: string, points: PicturePlace[], sd: number) =>
      Promise.resolve({
        spots: points.map((p) => ({ at: p, end_line: null, side_line: null, left: false, outside: false, say: `${p.x} ${sd}` })),
        apart: points.slice(1).map(() => ({ behind: null, left: null, say: "apart" })),
        lines: [],
      }),
    ),
  };
  const undo = vi.fn(() => Promise.resolve({ seq: 1, label: "lay", clips: ["c"], catalogue: false, sessions: false, frame: -1 }));
  return {
    kept,
    ruler,
    undo,
    main: {
      Library: { State: () => Promise.resolve(state), Undo: undo },
      Pictures: {
        Of: vi.fn(() => Promise.resolve({ rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 })),
        Drawings: vi.fn(() => Promise.resolve([])),
      },
      Bench: {
        Open: () => Promise.resolve(stubOpened(clip, false)),
        Ledger: () => Promise.resolve({ turns: [], strokes: [], marks: [], looks: [], hangs_on: {} }),
      },
      Ruler: ruler,
    },
  };
}

describe("Ruler", () => {
  let back: ReturnType<typeof backend>;
  let app: App;
  let bench: Bench;
  let stop: () => void;

  beforeEach(async () => {
    back = backend();
    vi.stubGlobal("window", { go: { main: back.main } });
    vi.stubGlobal("requestAnimationFrame", () => 0);
    vi.stubGlobal("cancelAnimationFrame", () => undefined);
    vi.stubGlobal("devicePixelRatio", 1);
    vi.stubGlobal("fetch", () => Promise.resolve(new Response(new Float64Array(100).map((_, i) => i / 50).buffer)));
    stubImages(() => Promise.resolve());
    app = new App();
    app.place = { clip: "c", frame: 0 };
    await app.reload();
    bench = new Bench(app);
    stop = bench.listen();
    await bench.open({ clip: "c", frame: 0 });
    bench.viewer?.attach(stubBox());
    await flush();
  });
  afterEach(() => {
    stop();
    bench.close();
    vi.useRealTimers();
    vi.unstubAllGlobals();
  });

  const open = async () => {
    bench.ruler.toggle();
    await flush();
  };
  const clickAll = (places: readonly PicturePlace[]) => places.forEach((p) => bench.ruler.click(p));
  const laid = async () => {
    back.kept.view = viewOf({ frame: 0, corners: CORNERS, tops: [], wide: false, sd: 2 });
    await open();
  };

  it("lays four corners and two posts at once, pulled onto the lines", async () => {
    await open();
    expect(bench.ruler.next).toBe(0);
    bench.ruler.scale = 1.5;
    clickAll([...CORNERS, at(20, 15)]);
    expect(back.ruler.Lay).not.toHaveBeenCalled();
    expect(bench.ruler.next).toBe(5);
    bench.ruler.click(at(40, 16));
    await flush();
    expect(back.ruler.Lay).toHaveBeenCalledExactlyOnceWith(
      "c",
      { frame: 0, corners: CORNERS, tops: [at(20, 15), at(40, 16)], wide: false, sd: 3 },
      true,
    );
    expect(bench.ruler.placing).toBeNull();
    expect(bench.ruler.view?.good).toBe(true);
  });

  it("does without posts where Enter says so, and takes clicks back", async () => {
    await open();
    const press = (key: string) => rulerKeys(bench.app.keymap, bench.ruler, { width: 64, height: 36 }).find((b) => b.press.includes(key));
    expect(press("Backspace")).toBeUndefined();
    press("Enter")?.run(false, 0);
    expect(bench.ruler.placing).toEqual([at(32, 18)]);
    press("Backspace")?.run(false, 0);
    expect(bench.ruler.placing).toEqual([]);
    clickAll(CORNERS);
    press("Enter")?.run(false, 0);
    await flush();
    expect(back.ruler.Lay.mock.calls[0]?.[1]).toMatchObject({ corners: CORNERS, tops: [] });
  });

  it("keeps the clicks where they fit no table, says why, and lays them again once they are moved", async () => {
    back.ruler.Lay.mockRejectedValueOnce(new Error("problem/corners: The points do not fit a table."));
    await open();
    clickAll([...CORNERS, at(20, 15), at(40, 16)]);
    await flush();
    expect(bench.ruler.trouble).toBe("The points do not fit a table.");
    expect(bench.ruler.placing).toHaveLength(6);
    bench.ruler.move({ of: "top", at: 1 }, at(41, 17));
    await bench.ruler.finish();
    expect(back.ruler.Lay.mock.lastCall?.[1].tops).toEqual([at(20, 15), at(41, 17)]);
    expect(bench.ruler.trouble).toBe("");
  });

  it("proposes the ruler of the session, and looks for the table only where there is none", async () => {
    back.kept.suggested = viewOf({ frame: 0, corners: CORNERS, tops: [], wide: true, sd: 1 }, { from: "a.mp4" });
    await open();
    expect(bench.question?.text).toContain("a.mp4");
    expect(back.ruler.Find).not.toHaveBeenCalled();
    bench.answerQuestion(true);
    await flush();
    expect(back.ruler.Lay).toHaveBeenCalledExactlyOnceWith("c", { frame: 0, corners: CORNERS, tops: [], wide: true, sd: 2 }, true);
    expect(bench.question).toBeNull();
  });

  it("lets go of what is found too late, once a corner is clicked", async () => {
    let answer: (v: RulerView) => void = () => {};
    back.ruler.Find.mockReturnValueOnce(new Promise((done) => (answer = done)));
    await open();
    bench.ruler.click(at(1, 1));
    answer(viewOf({ frame: 0, corners: CORNERS, tops: [], wide: false, sd: 1 }));
    await flush();
    expect(bench.ruler.suggested).toBeNull();
    expect(bench.question).toBeNull();
    expect(bench.ruler.placing).toHaveLength(1);
  });

  it("draws a corner while it is dragged and keeps it, not pulled, where it is let go", async () => {
    await laid();
    for (let i = 1; i <= 5; i++) bench.ruler.move({ of: "corner", at: 0 }, at(10 + i, 20));
    await flush();
    expect(back.ruler.Try.mock.calls.length).toBeLessThan(5); // one at a time
    expect(back.ruler.Try.mock.lastCall?.[1].corners[0]).toEqual(at(15, 20));
    expect(back.ruler.Lay).not.toHaveBeenCalled();
    await bench.ruler.keep();
    expect(back.ruler.Lay.mock.calls).toHaveLength(1);
    expect(back.ruler.Lay.mock.calls[0]?.[1].corners[0]).toEqual(at(15, 20));
    expect(back.ruler.Lay.mock.calls[0]?.[2]).toBe(false);
  });

  it("keeps what keys have moved once they rest, before undo, and when it is put away", async () => {
    await laid();
    vi.useFakeTimers();
    bench.ruler.nudge({ of: "corner", at: 2 }, 1, 0);
    await vi.advanceTimersByTimeAsync(400);
    bench.ruler.nudge({ of: "corner", at: 2 }, 0, -1);
    await vi.advanceTimersByTimeAsync(400);
    expect(back.ruler.Lay).not.toHaveBeenCalled();
    await vi.advanceTimersByTimeAsync(400);
    expect(back.ruler.Lay.mock.calls.map((c) => c[1].corners[2])).toEqual([at(51, 19)]);
    bench.ruler.nudge({ of: "corner", at: 2 }, 1, 0);
    await app.undo();
    expect(back.ruler.Lay.mock.calls[1]?.[1].corners[2]).toEqual(at(52, 19));
    expect(back.ruler.Lay.mock.invocationCallOrder[1]).toBeLessThan(back.undo.mock.invocationCallOrder[0] ?? 0);
    bench.ruler.nudge({ of: "corner", at: 2 }, 1, 0);
    await bench.ruler.leave();
    expect(back.ruler.Lay).toHaveBeenCalledTimes(3);
    expect(bench.ruler.on).toBe(false);
  });

  it("measures one point, then two, then begins anew", async () => {
    await laid();
    bench.ruler.click(at(5, 30));
    await flush();
    expect(bench.ruler.measured?.spots.map((s) => s.say)).toEqual(["5 2"]);
    bench.ruler.click(at(6, 30));
    await flush();
    expect(bench.ruler.measured?.apart).toHaveLength(1);
    bench.ruler.click(at(7, 30));
    await flush();
    expect(bench.ruler.measured?.spots.map((s) => s.at.x)).toEqual([7]);
    expect(bench.ruler.back()).toBe(true);
    expect(bench.ruler.measured).toBeNull();
    expect(bench.ruler.back()).toBe(false);
  });

  it("turns to the other end of the table", async () => {
    await laid();
    await bench.ruler.otherEnd();
    expect(back.ruler.Lay.mock.lastCall?.[1].corners).toEqual([CORNERS[2], CORNERS[3], CORNERS[0], CORNERS[1]]);
  });

  it("follows what undo and other programs do to it", async () => {
    await laid();
    expect(bench.ruler.view).not.toBeNull();
    back.kept.view = NONE;
    await app.reload();
    await flush();
    expect(bench.ruler.view).toBeNull();
    expect(bench.ruler.next).toBe(0);
  });

  it("tells that the camera moved, of the ruler on show only", async () => {
    let first: (s: RulerStretch) => void = () => {};
    back.ruler.Holds.mockReturnValueOnce(new Promise((done) => (first = done)));
    back.ruler.Holds.mockResolvedValueOnce({ first: 0, last: 60, say: "The camera moved at 0:01." });
    await laid();
    await bench.ruler.pull();
    await flush();
    expect(bench.ruler.stretch?.say).toBe("The camera moved at 0:01.");
    first({ first: 0, last: 20, say: "of the ruler before" });
    await flush();
    expect(bench.ruler.stretch?.last).toBe(60);
  });

  it("goes with its clip", async () => {
    await laid();
    bench.ruler.click(at(5, 30));
    bench.close();
    expect([bench.ruler.on, bench.ruler.view, bench.ruler.points.length]).toEqual([false, null, 0]);
  });
});

it("keeps a length with its unit and its ± on one line", () => {
  expect(unbroken("41 cm from the end line (±5), 63 cm inside")).toBe("41\u00a0cm from the end line\u00a0(±5), 63\u00a0cm inside");
});
