import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fault, Ledger, Mark, Turn } from "../api/domain";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { benchKeys } from "./benchkeys";
import { flush, stubClip, stubMark, stubOpened } from "./clip.stub";
import { stubBox, stubImages } from "./images.stub";

const FRAMES = 500;
const late: Fault = { id: "f1", code: "LATE", label: "late", phase: "ready", sides: "both", weight: 3, key: "l" };

/** A program behind the page that answers when the test lets it. */
function backend() {
  const ledger: Ledger = { turns: [], strokes: [], marks: [], looks: [], hangs_on: {} };
  let release: () => void = () => {};
  let held: Promise<void> = Promise.resolve();
  const clip = stubClip(FRAMES);
  const state = {
    dir: "/x",
    name: "x",
    read_only: false,
    warning: "",
    coach_id: "k",
    undo: "",
    redo: "",
    demo: false,
    blind: false,
    tested: false,
    nameless: false,
  };
  return {
    ledger,
    hold: () => (held = new Promise((done) => (release = done))),
    release: () => release(),
    main: {
      Library: { State: () => Promise.resolve(state) },
      Pictures: {
        Of: vi.fn(() => Promise.resolve({ rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 })),
        Drawings: vi.fn(() => Promise.resolve([])),
      },
      Bench: {
        Open: () => Promise.resolve(stubOpened(clip, false)),
        Ledger: () => Promise.resolve(structuredClone(ledger)),
        AddMark: vi.fn(async (clipId: string, frame: number, fault: string): Promise<Mark> => {
          await held;
          const m = stubMark(ledger.marks.length, clipId, frame, fault);
          ledger.marks.push(m);
          return m;
        }),
        SaveMark: vi.fn((id: string, fault: string, frame: number, note: string) =>
          Promise.resolve({ ...ledger.marks.find((m) => m.id === id), fault_id: fault, frame, note }),
        ),
        RemoveMark: vi.fn(() => Promise.resolve()),
      },
      Turns: {
        Save: vi.fn((t: Turn) =>
          t.player_id ? Promise.resolve({ ...t, id: "t" }) : Promise.reject(new Error("problem/player: Say who is playing in this turn.")),
        ),
      },
    },
  };
}

describe("Bench", () => {
  let back: ReturnType<typeof backend>;
  let app: App;
  let bench: Bench;
  /** Pictures wait here until the test lets them through. */
  let pictures: Map<number, () => void>;
  let slow: boolean;

  beforeEach(async () => {
    back = backend();
    pictures = new Map();
    slow = false;
    vi.stubGlobal("window", { go: { main: back.main } });
    stubImages((address) =>
      slow ? new Promise((done) => pictures.set(Number(/frame\/(\d+)/.exec(address)?.[1]), () => done(undefined))) : Promise.resolve(),
    );
    vi.stubGlobal("fetch", () => Promise.resolve(new Response(Float64Array.from({ length: FRAMES }, (_, i) => i / 50).buffer)));
    app = new App();
    await app.reload().catch(() => {});
    app.state = {
      dir: "/x",
      name: "x",
      read_only: false,
      warning: "",
      coach_id: "k",
      undo: "",
      redo: "",
      demo: false,
      blind: false,
      tested: false,
      nameless: false,
    };
    app.catalogue = { coaches: [], players: [], drills: [], faults: [late] };
    bench = new Bench(app);
    await bench.open({ clip: "c", frame: 100 });
    bench.viewer?.attach(stubBox());
    await flush();
  });

  afterEach(() => vi.unstubAllGlobals());

  const press = (key: string, repeat = false) => {
    const b = benchKeys(bench).find((k) => k.press.includes(key));
    if (!b) throw new Error(`no key ${key}`);
    b.run(repeat, 0);
  };
  const arrive = async (n: number) => {
    pictures.get(n)?.();
    pictures.delete(n);
    await flush();
  };

  it("opens at the frame that was asked for", () => {
    expect(bench.viewer?.shown).toBe(100);
    expect(bench.viewer?.seconds).toBe(2);
  });

  it("counts every tap, even before its picture is here", () => {
    for (let i = 0; i < 3; i++) press("ArrowRight");
    expect(bench.viewer?.target).toBe(103);
  });

  it("waits for the picture while a key is held, so that steps never pile up", async () => {
    slow = true;
    bench.viewer?.goTo(200);
    await arrive(200);
    expect(bench.viewer?.shown).toBe(200);
    press("ArrowRight");
    for (let i = 0; i < 30; i++) press("ArrowRight", true);
    expect(bench.viewer?.target).toBe(201);
    await arrive(201);
    press("ArrowRight", true);
    expect(bench.viewer?.target).toBe(202);
  });

  it("shows the number of the painted frame, not of the one on its way", async () => {
    slow = true;
    press("Home");
    expect(bench.viewer?.shown).toBe(100);
    await arrive(0);
    expect(bench.viewer?.shown).toBe(0);
  });

  it("stays inside the clip", async () => {
    press("End");
    expect(bench.viewer?.target).toBe(FRAMES - 1);
    press("ArrowRight");
    expect(bench.viewer?.target).toBe(FRAMES - 1);
    press("Home");
    press("PageUp");
    expect(bench.viewer?.target).toBe(0);
    press("PageDown");
    await flush();
    expect(bench.viewer?.target).toBe(50);
  });

  it("shows a mark, and says saved, only when the program has kept it", async () => {
    void back.hold();
    const done = bench.mark(late);
    await flush();
    expect(bench.ledger.marks).toHaveLength(0);
    expect(app.message.text).not.toMatch(/^Saved/);
    expect(app.writing).toBe(1);
    back.release();
    await done;
    expect(bench.ledger.marks.map((m) => m.frame)).toEqual([100]);
    expect(app.message.text).toMatch(/^Saved: LATE at frame 100/);
    expect(app.message.text).toContain("no turn here");
    expect(bench.selectedId).toBe("m0");
  });

  it("calls a mark saved where only the reading after it fails, and says that too", async () => {
    const fail = () => Promise.reject(new Error("problem: The drive does not answer."));
    for (const broken of [() => vi.spyOn(back.main.Bench, "Ledger"), () => vi.spyOn(back.main.Library, "State")]) {
      broken().mockImplementationOnce(fail);
      await bench.mark(late);
      expect(app.message.text).toMatch(/^Saved: LATE at frame 100.* But what is shown may be old: The drive does not answer\.$/);
      expect(app.message.wrong).toBe(true);
    }
    expect(back.ledger.marks).toHaveLength(2);
    expect(bench.selectedId).toBe("m1");
  });

  it("keeps a note open until it is on the disk", async () => {
    await bench.mark(late);
    bench.note();
    const mark = bench.noting;
    if (!mark) throw new Error("no note is being written");
    back.main.Bench.SaveMark.mockImplementationOnce(() => Promise.reject(new Error("problem: The drive is full.")));
    expect(await bench.saveMark(mark, { note: "too late" })).toBe(false);
    expect([bench.noting?.id, app.message.text]).toEqual([mark.id, "The drive is full."]);
    expect(await bench.saveMark(mark, { note: "too late" })).toBe(true);
    expect(bench.noting).toBeNull();
  });

  it("tells a warning of the library once", async () => {
    const warned = { ...app.state, warning: "This library lies on a network drive." };
    vi.spyOn(back.main.Library, "State").mockResolvedValue({ ...warned, nameless: false });
    app.catalogue = { coaches: [], players: [], drills: [], faults: [late] };
    Object.assign(back.main, { Catalogue: { Get: () => Promise.resolve({ coaches: null, players: null, drills: null, faults: [late] }) } });
    await app.reload();
    expect(app.message).toEqual({ text: warned.warning, wrong: true });
    app.notify("Saved.");
    await app.reload();
    expect(app.message.text).toBe("Saved.");
  });

  it("marks the frame at which the key was pressed, whatever comes after", async () => {
    void back.hold();
    const done = bench.mark(late);
    press("ArrowRight");
    const second = bench.mark(late);
    press("ArrowRight");
    back.release();
    await Promise.all([done, second]);
    expect(bench.ledger.marks.map((m) => m.frame)).toEqual([100, 101]);
  });

  it("asks who is marking before the first mark", async () => {
    app.state = { ...app.state, coach_id: "" };
    await bench.mark(late);
    expect(back.main.Bench.AddMark).not.toHaveBeenCalled();
    expect(app.message.wrong).toBe(true);
  });

  it("makes a turn from [ and ], and keeps the form open where a field is wrong", async () => {
    press("]");
    expect(bench.draft).toBeNull();
    expect(app.message.wrong).toBe(true);
    press("[");
    press("Shift+ArrowRight");
    press("]");
    expect(bench.draft).toMatchObject({ first: 100, last: 110 });
    const draft = bench.draft;
    if (!draft) return;
    await expect(bench.saveTurn(draft)).rejects.toMatchObject({ field: "player" });
    expect(bench.draft).not.toBeNull();
    await bench.saveTurn({ ...draft, player_id: "p", drill_id: "d" });
    expect(bench.draft).toBeNull();
    expect(bench.start).toBeNull();
    // The next turn begins with the same player and drill.
    press("[");
    press("]");
    expect(bench.draft).toMatchObject({ player_id: "p", drill_id: "d" });
  });

  it("marks the frame under the eye when the clip is stopped, not the one the clock has reached", async () => {
    let tick: FrameRequestCallback = () => {};
    vi.stubGlobal("requestAnimationFrame", (f: FrameRequestCallback) => {
      tick = f;
      return 1;
    });
    vi.stubGlobal("cancelAnimationFrame", () => {});
    const begun = performance.now();
    let now = begun;
    vi.spyOn(performance, "now").mockImplementation(() => now);
    press("Space");
    await flush();
    for (let i = 1; i <= 10; i++) {
      now = begun + i * 20;
      tick(now);
      await flush();
    }
    expect(bench.viewer?.current).toBe(110);
    // From here on no picture comes in time, but the clock goes on.
    slow = true;
    now += 1000;
    tick(now);
    const seen = bench.viewer?.current ?? -1;
    expect(seen).toBeLessThan(130);
    press("Space");
    expect(bench.viewer?.playing).toBe(false);
    await bench.mark(late);
    expect(bench.ledger.marks.map((m) => m.frame)).toEqual([seen]);
    vi.restoreAllMocks();
  });

  it("shows an entry out of sight before it removes it", async () => {
    await bench.mark(late);
    press("End");
    await bench.remove();
    expect(back.main.Bench.RemoveMark).not.toHaveBeenCalled();
    expect(bench.viewer?.target).toBe(100);
    await bench.remove();
    expect(back.main.Bench.RemoveMark).toHaveBeenCalledWith("m0");
  });

  it("lists the stroke that was just logged, so that it can be removed", async () => {
    back.ledger.strokes.push({
      id: "s0",
      clip_id: "c",
      frame: 100,
      ticks: 100,
      side: "",
      outcome: "good",
      source: "hand",
      confidence: 1,
      coach_id: "k",
    });
    await bench.reload();
    expect(bench.entries).toEqual([]);
    const stroke = bench.ledger.strokes[0];
    if (!stroke) throw new Error("no stroke in the ledger");
    bench.select({ kind: "stroke", row: stroke });
    expect(bench.selected?.row.id).toBe("s0");
  });

  it("stands still while a frame number is asked for", () => {
    vi.stubGlobal("requestAnimationFrame", () => 0);
    vi.stubGlobal("cancelAnimationFrame", () => {});
    press("Space");
    press("Ctrl+g");
    expect([bench.viewer?.playing, bench.asking]).toEqual([false, true]);
  });
});
