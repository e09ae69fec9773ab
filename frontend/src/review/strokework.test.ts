import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fault, Ledger, Mark, Stroke, Turn } from "../api/domain";
import type { Fix, HeardTurn } from "../api/domain";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { benchKeys } from "./benchkeys";
import { flush, stubClip, stubMark, stubOpened } from "./clip.stub";
import { stubBox, stubImages } from "./images.stub";

const FRAMES = 500;
const late: Fault = { id: "f1", code: "LATE", label: "late", phase: "recovery", sides: "both", weight: 3, key: "l" };
const turn: Turn = { id: "t", clip_id: "c", player_id: "p", drill_id: "d", first: 0, last: 400, first_ticks: 0, last_ticks: 400 };
const stroke = (id: string, frame: number, more: Partial<Stroke> = {}): Stroke => ({
  id,
  clip_id: "c",
  frame,
  ticks: frame,
  outcome: "good",
  source: "hand",
  confidence: 1,
  coach_id: "k",
  ...more,
});

/** A program behind the page with one turn, in which four strokes are heard. */
function backend() {
  const ledger: Ledger = { turns: [{ ...turn }], strokes: [], marks: [], looks: [], hangs_on: {} };
  let heard = [100, 150, 200, 250];
  const state = { dir: "/x", name: "x", read_only: false, warning: "", coach_id: "k", undo: "", redo: "", demo: false };
  const clip = stubClip(FRAMES);
  const proposed = (least: number): HeardTurn => ({
    turn_id: "t",
    known: true,
    player: "near",
    unsure: false,
    sure: false,
    seen: false,
    least,
    strokes: ledger.turns[0]?.settled
      ? []
      : heard
          .filter((f) => least <= 0.5 || f < 200)
          .map((frame) => ({
            frame,
            seconds: frame / 50,
            side: "forehand",
            outcome: "good",
            confidence: 0.9,
            answer: null,
            side_chance: 0,
            seen: false,
          })),
  });
  return {
    ledger,
    main: {
      Library: { State: () => Promise.resolve(state) },
      Pictures: {
        Of: vi.fn(() => Promise.resolve({ rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 })),
        Drawings: vi.fn(() => Promise.resolve([])),
      },
      Bench: {
        Open: () => Promise.resolve(stubOpened(clip, true)),
        Ledger: () => {
          // On the nearest stroke, which is near enough for the page: the rule is the program's.
          const near = (m: Mark) =>
            [...ledger.strokes].sort((a, b) => Math.abs(a.frame - m.frame) - Math.abs(b.frame - m.frame))[0]?.id ?? "";
          return Promise.resolve({ ...structuredClone(ledger), hangs_on: Object.fromEntries(ledger.marks.map((m) => [m.id, near(m)])) });
        },
        AddMark: vi.fn((clipId: string, frame: number, fault: string): Promise<Mark> => {
          const m = stubMark(ledger.marks.length, clipId, frame, fault);
          ledger.marks.push(m);
          return Promise.resolve(m);
        }),
        RemoveMark: vi.fn(() => Promise.resolve()),
        HangMark: vi.fn(() => Promise.resolve()),
      },
      Strokes: {
        Add: vi.fn((_c: string, frame: number) => Promise.resolve(stroke("new", frame))),
        Save: vi.fn(() => Promise.resolve()),
        Ready: vi.fn((_c: string, frame: number) => Promise.resolve(stroke("s0", 100, { ready: { frame, ticks: frame }, answer: 2.5 }))),
        LateFault: () => Promise.resolve(late),
        MarkLate: vi.fn(() => Promise.resolve({ id: "m", fault_id: "f1", frame: 125 })),
      },
      Listening: {
        Start: vi.fn(() => Promise.resolve({ state: "done", done: 10, all: 10, say: "" })),
        Stop: vi.fn(() => Promise.resolve({ state: "stopped", done: 4, all: 10, say: "" })),
        Turns: () => Promise.resolve([proposed(0.5)]),
        Try: vi.fn((_t: string, least: number) => Promise.resolve(proposed(least))),
      },
      Bursts: {
        List: () => Promise.resolve({ pause: 2.5, learned: 2.5, set: false, sure: false, short: true, known: true, order: [], bursts: [] }),
      },
      Settling: {
        TakeOver: vi.fn((_t: string, fix: Fix) => {
          ledger.turns[0] = { ...turn, settled: true };
          for (const f of heard) if (fix.do !== "remove" || f !== fix.frame) ledger.strokes.push(stroke(`h${f}`, f, { source: "machine" }));
          return Promise.resolve(ledger.turns[0]);
        }),
        Refuse: vi.fn(() => Promise.resolve()),
        Least: vi.fn((_t: string, least: number) => {
          heard = proposed(least).strokes.map((s) => s.frame);
          return Promise.resolve(turn);
        }),
      },
    },
  };
}

describe("strokes from the sound", () => {
  let back: ReturnType<typeof backend>;
  let app: App;
  let bench: Bench;

  beforeEach(async () => {
    back = backend();
    vi.stubGlobal("window", { go: { main: back.main } });
    stubImages();
    vi.stubGlobal("fetch", (address: string) => {
      if (address.endsWith("/contacts"))
        return Promise.resolve(new Response(Float64Array.from([2, 0, 1, 0.9, 2.5, 1, 2, 0.8, 3, 2, 0, 0.1]).buffer));
      return Promise.resolve(new Response(Float64Array.from({ length: FRAMES }, (_, i) => i / 50).buffer));
    });
    app = new App();
    app.state = { ...app.state, dir: "/x", coach_id: "k" };
    app.catalogue = { coaches: [], players: [], drills: [], faults: [late] };
    bench = new Bench(app);
    await bench.open({ clip: "c", frame: 90 });
    bench.viewer?.attach(stubBox());
    await flush();
  });

  afterEach(() => vi.unstubAllGlobals());

  const press = async (key: string) => {
    const b = benchKeys(bench).find((k) => k.press.includes(key));
    if (!b) throw new Error(`no key ${key}`);
    b.run(false, 0);
    await flush();
  };
  const lastFix = () => back.main.Settling.TakeOver.mock.lastCall?.[1];

  it("keeps a sensitivity that is tried before what follows it, also before undo", async () => {
    const order: string[] = [];
    back.main.Settling.Least.mockImplementation(() => Promise.resolve((order.push("least"), turn)));
    back.main.Settling.Refuse.mockImplementation(() => Promise.resolve(void order.push("refuse")));
    Object.assign(back.main.Library, {
      Undo: () => Promise.resolve({ label: `${order.push("undo")}`, clips: [], catalogue: false, frame: -1 }),
      State: () => Promise.resolve({ ...app.state, undo: order.at(-1) ?? "" }),
    });
    bench.strokes.step(-1);
    await flush();
    await bench.strokes.refuse();
    bench.strokes.step(-1);
    await flush();
    await app.undo();
    expect(order).toEqual(["least", "refuse", "least", "undo"]);
  });

  it("keeps a sensitivity once, also where undo comes while it is being kept", async () => {
    const order: string[] = [];
    back.main.Settling.Least.mockImplementation(async () => {
      order.push("least");
      await flush();
      return turn;
    });
    Object.assign(back.main.Library, {
      Undo: () => Promise.resolve({ label: `${order.push("undo")}`, clips: [], catalogue: false, frame: -1 }),
      State: () => Promise.resolve({ ...app.state, undo: order.at(-1) ?? "" }),
    });
    bench.strokes.step(-1);
    await flush();
    const kept = bench.strokes.keepLeast();
    await app.undo();
    await kept;
    expect(order).toEqual(["least", "undo"]);
  });

  it("takes over what is proposed now while another sensitivity is tried", async () => {
    const before = bench.detection.turns;
    await Promise.all([bench.detection.refresh(), bench.detection.attempt("t", 0.1)]);
    expect(bench.detection.turns).not.toBe(before);
    expect(bench.detection.trial?.least).toBe(0.1);
  });

  it("listens when a clip is opened, and reads what was heard", () => {
    expect(back.main.Listening.Start).toHaveBeenCalledWith("c");
    expect(bench.detection.onsets.map((n) => [n.seconds, n.kind, n.who])).toEqual([
      [2, "racket", "near"],
      [2.5, "bounce", "far"],
      [3, "other", ""],
    ]);
    expect(bench.row.map((p) => p.frame)).toEqual([100, 150, 200, 250]);
    expect(bench.run.current).toBe(0);
  });

  it("walks over proposals as over strokes", async () => {
    await press(".");
    await press(".");
    expect(bench.viewer?.target).toBe(150);
    await press(",");
    expect(bench.viewer?.target).toBe(100);
    await press(",");
    expect(app.message.text).toMatch(/No stroke lies before/);
  });

  it("takes the whole turn over in one key", async () => {
    await press("Ctrl+Enter");
    expect(lastFix()).toMatchObject({ do: "" });
    expect(bench.run).toEqual({ longest: 4, current: 4 });
    expect(bench.proposals).toEqual([]);
    expect(app.message.text).toMatch(/^Saved: 4 heard strokes taken over in one step/);
    await press("Ctrl+Enter");
    expect(back.main.Settling.TakeOver).toHaveBeenCalledTimes(1);
    expect(app.message.text).toMatch(/F4/);
  });

  it("takes the turn over without the sides that only the joints say", async () => {
    await press("Alt+Enter");
    expect(lastFix()).toMatchObject({ do: "unsided" });
    expect(app.message.text).toMatch(/no side taken from the joints/);
  });

  it.each([
    ["-", { do: "outcome", frame: 100, outcome: "missed" }],
    ["/", { do: "side", frame: 100, side: "backhand" }],
    ["Delete", { do: "remove", frame: 100 }],
  ])("corrects a proposal with %s, and takes the rest over with it", async (key, fix) => {
    await press(".");
    await press(key);
    expect(lastFix()).toMatchObject(fix);
    expect(back.main.Strokes.Save).not.toHaveBeenCalled();
  });

  it("adds what was not heard, and takes the rest over with it", async () => {
    await press("Enter");
    expect(lastFix()).toMatchObject({ do: "add", frame: 90, outcome: "good" });
    expect(back.main.Strokes.Add).not.toHaveBeenCalled();
  });

  it("shows a proposal out of sight before it removes it", async () => {
    await press(".");
    bench.viewer?.goTo(300);
    await press("Delete");
    expect(back.main.Settling.TakeOver).not.toHaveBeenCalled();
    expect(bench.viewer?.target).toBe(100);
    await press("Delete");
    expect(lastFix()).toMatchObject({ do: "remove", frame: 100 });
  });

  it("logs a stroke plainly where nothing is proposed", async () => {
    bench.viewer?.goTo(450);
    await flush();
    await press("Enter");
    expect(back.main.Strokes.Add).toHaveBeenCalledWith("c", 450, "good");
  });

  it("makes the stroke that stands here missed, and says so where it is already", async () => {
    await press("Ctrl+Enter");
    await press(".");
    await press("Enter");
    expect(app.message.text).toMatch(/good already/);
    await press("-");
    expect(back.main.Strokes.Save).toHaveBeenCalledWith("h100", 100, "", "missed");
  });

  it("shows the count of another sensitivity at once, keeps it later, or when the turn is taken over", async () => {
    await press("<");
    expect(back.main.Listening.Try).toHaveBeenLastCalledWith("t", 0.6);
    expect(bench.row).toHaveLength(2);
    expect(back.main.Settling.Least).not.toHaveBeenCalled();
    await press("Ctrl+Enter");
    expect(back.main.Settling.Least).toHaveBeenCalledWith("t", 0.6);
    expect(bench.logged).toHaveLength(2);
  });

  it("offers to mark a late return, and marks it in one key", async () => {
    back.ledger.strokes.push(stroke("s0", 100));
    await bench.reload();
    bench.viewer?.goTo(129);
    await press(";");
    expect(app.message.text).toMatch(/0\.08 s late/);
    expect(bench.question?.text).toMatch(/Stroke 1: 0\.08 s late\. Mark it as LATE\?/);
    await press("+");
    expect(back.main.Strokes.MarkLate).toHaveBeenCalledWith("s0", "");
    expect(bench.question).toBeNull();
    await press("+");
    expect(app.message.text).toMatch(/Nothing is asked/);
  });

  it("does not ask where the player was ready in time", async () => {
    back.ledger.strokes.push(stroke("s0", 100));
    await bench.reload();
    bench.viewer?.goTo(119);
    await press(";");
    expect(app.message.text).toMatch(/ready 0\.12 s before the partner's contact/);
    expect(bench.question).toBeNull();
  });

  it("asks about the same fault twice on one stroke, and takes the second back", async () => {
    back.ledger.strokes.push(stroke("s0", 100));
    await bench.reload();
    await bench.mark(late);
    expect(bench.question).toBeNull();
    expect(bench.holding?.stroke.id).toBe("s0");
    bench.viewer?.goTo(110);
    await flush();
    await bench.mark(late);
    expect(bench.question?.text).toBe("LATE is on stroke 1 twice now. The rate counts it once.");
    await press("Backspace");
    expect(back.main.Bench.RemoveMark).toHaveBeenCalledWith("m1");
  });

  it("hangs a mark on the next stroke", async () => {
    back.ledger.strokes.push(stroke("s0", 100), stroke("s1", 150));
    await bench.reload();
    await bench.mark(late);
    await press("Alt+ArrowRight");
    expect(back.main.Bench.HangMark).toHaveBeenCalledWith("m0", "s1");
    await press("Alt+ArrowLeft");
    expect(app.message.text).toMatch(/no stroke before it/);
  });
});
