import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Drill, Ledger, Player, Stroke, Turn } from "../api/domain";
import type { Burst, NewTurn } from "../api/domain";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { benchKeys } from "./benchkeys";
import { flush, stubClip, stubOpened } from "./clip.stub";
import { stubBox, stubImages } from "./images.stub";

const FRAMES = 500;
const player = { id: "p", name: "Ines Varga" } as Player;
const drill = { id: "d", name: "Forehand", pattern: "F" } as Drill;

/** A program behind the page with a clip without turns, in which three bursts are heard. */
function backend() {
  const ledger: Ledger = { turns: [], strokes: [], marks: [], looks: [], hangs_on: {} };
  const all = [50, 200, 350].map((first): Burst => ({
    first,
    last: first + 90,
    from: 0,
    to: 0,
    contacts: 9,
    strokes: 4,
    open: false,
    after: -1,
    player_id: "p",
    drill_id: "d",
  }));
  const clip = stubClip(FRAMES);
  const found = () => all.filter((b) => !ledger.turns.some((t) => t.first <= b.last && b.first <= t.last));
  const list = () =>
    Promise.resolve({ pause: 2.5, learned: 2.5, set: false, sure: true, short: false, known: true, order: null, bursts: found() });
  return {
    ledger,
    all,
    main: {
      Library: {
        State: () =>
          Promise.resolve({
            dir: "/x",
            name: "x",
            read_only: false,
            warning: "",
            coach_id: "k",
            undo: "",
            redo: "",
            demo: false,
            nameless: false,
          }),
      },
      Pictures: {
        Of: vi.fn(() => Promise.resolve({ rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 })),
        Drawings: vi.fn(() => Promise.resolve([])),
      },
      Bench: {
        Open: () => Promise.resolve(stubOpened(clip, true)),
        Ledger: () => Promise.resolve(structuredClone(ledger)),
      },
      Strokes: { Add: vi.fn((_c: string, frame: number) => Promise.resolve({ id: "s", frame } as Stroke)) },
      Listening: { Start: () => Promise.resolve({ state: "done", done: 10, all: 10, say: "" }), Turns: () => Promise.resolve([]) },
      Bursts: {
        List: list,
        Join: vi.fn(list),
        Split: vi.fn(list),
        Make: vi.fn((clip_id: string, wanted: NewTurn[]) => {
          const made = wanted.map((w, i): Turn => ({ id: `t${i}`, clip_id, ...w, first_ticks: w.first, last_ticks: w.last }));
          ledger.turns.push(...made);
          return Promise.resolve(made);
        }),
      },
    },
  };
}

describe("bursts of play", () => {
  let back: ReturnType<typeof backend>;
  let app: App;
  let bench: Bench;

  beforeEach(async () => {
    back = backend();
    vi.stubGlobal("window", { go: { main: back.main } });
    stubImages();
    vi.stubGlobal("fetch", (address: string) =>
      Promise.resolve(
        new Response(address.endsWith("/contacts") ? new ArrayBuffer(0) : Float64Array.from({ length: FRAMES }, (_, i) => i / 50).buffer),
      ),
    );
    app = new App();
    app.state = { ...app.state, dir: "/x", coach_id: "k" };
    app.catalogue = { coaches: [], players: [player], drills: [drill], faults: [] };
    bench = new Bench(app);
    await bench.open({ clip: "c", frame: 0 });
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
  const here = () => bench.viewer?.current;

  it("are gone through by key, and say where they end", async () => {
    await press("}");
    expect(here()).toBe(50);
    expect(app.message.text).toContain("Enter makes it a turn: ");
    await press("}");
    await press("}");
    expect(here()).toBe(350);
    await press("}");
    expect(here()).toBe(350);
    expect(app.message.text).toContain("No burst of play comes after this");
    await press("{");
    expect(here()).toBe(200);
    bench.viewer?.goTo(250);
    await press("{");
    expect(here()).toBe(200);
  });

  it("become turns by Enter, which logs a stroke everywhere else", async () => {
    await press("Enter");
    expect(back.main.Strokes.Add).toHaveBeenCalledOnce();
    await press("}");
    await press("Enter");
    expect(back.main.Bursts.Make).toHaveBeenCalledWith("c", [{ first: 50, last: 140, player_id: "p", drill_id: "d" }]);
    expect(app.message.text).toContain("2 bursts left");
    await press("Enter");
    expect(back.main.Bursts.Make).toHaveBeenCalledOnce();
    expect(back.main.Strokes.Add).toHaveBeenLastCalledWith("c", 50, "good");
  });

  it("leave Enter to a stroke that stands there", async () => {
    back.ledger.strokes.push({
      id: "s0",
      clip_id: "c",
      frame: 60,
      ticks: 60,
      outcome: "good",
      source: "hand",
      confidence: 1,
      coach_id: "k",
    });
    await bench.reload();
    bench.viewer?.goTo(60);
    await press("Enter");
    expect(back.main.Bursts.Make).not.toHaveBeenCalled();
    expect(app.message.text).toContain("is good already");
  });

  it("ask who plays what where nobody can say", async () => {
    Object.assign(back.all[0] ?? {}, { player_id: "p", drill_id: "" });
    await bench.reload();
    await press("}");
    await press("Enter");
    expect(bench.draft).toEqual({ id: "", player_id: "p", drill_id: "", first: 50, last: 140 });
  });

  it("wait until they are heard to their end", async () => {
    Object.assign(back.all[0] ?? {}, { open: true });
    await bench.reload();
    await press("}");
    await press("Enter");
    expect(back.main.Bursts.Make).not.toHaveBeenCalled();
    expect(app.message.text).toContain("F3 goes on");
  });

  it("name the key that makes a turn where none covers the frame", async () => {
    await press("Ctrl+Enter");
    expect(app.message.text).toContain("} goes to the next burst of play");
    await press("}");
    for (const key of ["Ctrl+Enter", ".", "F4", "!"]) {
      app.message = { text: "", wrong: false };
      await press(key);
      expect(app.message.text, key).toContain("press Enter to make one");
    }
    await press("-");
    expect(app.message.text).toContain("Enter makes one of this burst");
  });

  it("are joined and split at the frame here, and listed", async () => {
    bench.viewer?.goTo(70);
    await press("&");
    expect(back.main.Bursts.Join).toHaveBeenCalledWith("c", 70);
    await press("|");
    expect(back.main.Bursts.Split).toHaveBeenCalledWith("c", 70);
    await press("#");
    expect(bench.bursts.listed).toBe(true);
  });
});
