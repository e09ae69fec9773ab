import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fault, Mark, ToDoRow, Turn } from "../api/domain";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { stubClip, stubMark } from "./clip.stub";
import { lastFault, repeatFault, toClip, toUnlooked } from "./roam";

const fault = (id: string): Fault => ({ id, code: id, label: id, phase: "ready", sides: "both", weight: 1, key: id });
const row = (clip: string, turn: string, first: number, unlooked: boolean, missing: string[] = []): ToDoRow => ({
  date: "2026-03-14",
  clip_id: clip,
  clip_name: clip,
  turn_id: turn,
  player_id: "p",
  drill_id: "d",
  first,
  last: first + 9,
  seconds: 0,
  strokes: 3,
  unlooked,
  missing,
  unsettled: false,
  mine: false,
});

describe("going on without leaving the bench", () => {
  let app: App;
  let bench: Bench;
  let rows: ToDoRow[];
  let opened: string[];

  beforeEach(() => {
    rows = [];
    vi.stubGlobal("window", {
      go: {
        main: {
          Sessions: {
            Beside: (clip: string, by: number) => Promise.resolve(clip === "c" ? (by > 0 ? "next" : "") : ""),
            ToDo: () => Promise.resolve({ rows, turns: 0, unlooked: 0, partly: 0, unsettled: 0, clips: 0 }),
          },
        },
      },
    });
    app = new App();
    app.catalogue = { coaches: [], players: [], drills: [], faults: [fault("a"), fault("b")] };
    app.state = { ...app.state, dir: "/x", coach_id: "k" };
    bench = new Bench(app);
    opened = [];
    bench.viewer = { clip: { clip: stubClip(100) }, shown: 20, pause: () => {} } as unknown as Bench["viewer"];
    bench.open = (place) => {
      opened.push(`${place.clip} ${place.frame}`);
      return Promise.resolve();
    };
  });
  afterEach(() => vi.unstubAllGlobals());

  it("opens the next clip, and says so at the end", async () => {
    await toClip(bench, 1);
    expect(opened).toEqual(["next -1"]);
    await toClip(bench, -1);
    expect(opened).toHaveLength(1);
    expect(app.message.text).toBe("This is the first clip.");
  });

  it("goes to the next turn that is not looked through: here, in the clips after, and round to the start", async () => {
    bench.ledger = { ...bench.ledger, turns: [{ id: "here", clip_id: "c", player_id: "p", drill_id: "d", first: 15, last: 30 } as Turn] };
    rows = [
      row("b", "t0", 5, true),
      row("c", "here", 15, true),
      row("c", "t1", 40, false, ["LATE"]),
      row("d", "t2", 0, true),
      row("e", "", 0, false),
    ];
    await toUnlooked(bench);
    rows = rows.filter((r) => r.turn_id !== "t1");
    await toUnlooked(bench);
    rows = rows.filter((r) => r.turn_id !== "t2");
    await toUnlooked(bench);
    expect(opened).toEqual(["c 40", "d 0", "b 5"]);
  });

  it("marks the coach's own last fault once more", async () => {
    const mark = (id: string, coach: string, made: string): Mark => ({ ...stubMark(1, "c", 3, id), coach_id: coach, made });
    bench.ledger = {
      ...bench.ledger,
      marks: [mark("a", "k", "2026-03-14T10:00:01Z"), mark("b", "k", "2026-03-14T10:00:00Z"), mark("b", "other", "2026-03-14T11:00:00Z")],
    };
    expect(lastFault(bench)?.id).toBe("a");
    const marked = vi.fn(() => Promise.resolve());
    bench.mark = marked;
    await repeatFault(bench);
    expect(marked).toHaveBeenCalledWith(expect.objectContaining({ id: "a" }));
    bench.ledger = { ...bench.ledger, marks: [] };
    await repeatFault(bench);
    expect(marked).toHaveBeenCalledTimes(1);
    expect(app.message.wrong).toBe(true);
  });
});
