import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fault, Id, Ledger, Mark, PassStroke, PassTurn, PassWish, Stroke, Outcome, Side } from "../domain";
import { App } from "./app.svelte";
import type { Bench } from "./bench.svelte";
import { Pass } from "./pass.svelte";
import { passKeys } from "./passkeys";

const fault = (id: Id, code: string, phase: Fault["phase"], key: string): Fault => ({ id, code, label: code, phase, sides: "both", weight: 1, key });
const elbow = fault("f1", "ELBOW", "contact", "e");
const late = fault("f2", "LATE", "recovery", "l");
const close = fault("f3", "CLOSE", "footwork", "c");

/** A stroke at a frame of 50 a second, shown for 0.4 s before and 0.6 s after its contact. */
function stroke(id: Id, frame: number): PassStroke {
  return {
    id, frame, from: frame - 20, to: frame + 30, side: "forehand", set: "", outcome: "good", offers: [],
    earliest: [-50, -50, -17, -2, 0, 10].map((n) => frame + n), latest: [0, 0, 0, 2, 12, 50].map((n) => frame + n),
  };
}

function turnOf(id: Id, clip: Id, ...strokes: PassStroke[]): PassTurn {
  return { turn_id: id, clip_id: clip, player_id: "p", drill_id: "d", date: "2026-03-14", first: 0, last: 400, strokes, heard: 0, waiting: false, looked: false, reaction: 0.4 };
}

const settle = async () => {
  for (let i = 0; i < 12; i++) await new Promise<void>((r) => setTimeout(r, 0));
};

/** A wall clock that only the test moves, and a picture that plays by it. */
class Clock {
  t = 0;
  #due: { at: number; run: () => void }[] = [];
  after(seconds: number, run: () => void): () => void {
    const one = { at: this.t + seconds, run };
    this.#due.push(one);
    return () => (this.#due = this.#due.filter((d) => d !== one));
  }
  async go(seconds: number): Promise<void> {
    const end = this.t + seconds;
    await settle();
    for (;;) {
      const next = this.#due.filter((d) => d.at <= end + 1e-9).sort((a, b) => a.at - b.at)[0];
      if (!next) break;
      this.t = Math.max(this.t, next.at);
      this.#due = this.#due.filter((d) => d !== next);
      next.run();
      await settle();
    }
    this.t = end;
  }
}

/** A gate that the test can shut before something that the program is asked for. */
class Gate {
  #shut: Promise<void> = Promise.resolve();
  open: () => void = () => {};
  shut(): void {
    this.#shut = new Promise((done) => (this.open = done));
  }
  pass(): Promise<void> {
    return this.#shut;
  }
}

class Room {
  readonly clock = new Clock();
  readonly turns = new Map<Id, PassTurn>();
  readonly marks: (Mark & { on: Id })[] = [];
  readonly looks: { turn: Id; focus: readonly Id[] }[] = [];
  readonly saved: { id: Id; side: string; outcome: string }[] = [];
  readonly shown: Id[] = [];
  readonly opening = new Gate();
  readonly reading = new Gate();
  readonly writing = new Gate();
  wish: PassWish = { before: 0.4, after: 0.6, rate: 1, loops: 1, run_on: true, sound: false, focus: [] };
  app = new App();
  bench: Bench;
  pass: Pass;
  /** Clips that do not open. */
  broken = new Set<Id>();

  constructor() {
    const ledger = (clip: Id): Ledger => {
      const strokes: Stroke[] = [...this.turns.values()].filter((t) => t.clip_id === clip).flatMap((t) =>
        t.strokes.map((s): Stroke => {
          const kept = this.saved.findLast((k) => k.id === s.id);
          return { id: s.id, clip_id: clip, frame: s.frame, ticks: 0, side: (kept?.side ?? "") as Side, outcome: (kept?.outcome ?? s.outcome) as Outcome, source: "hand", confidence: 1, coach_id: "k" };
        }),
      );
      const marks = this.marks.filter((m) => m.clip_id === clip);
      return { turns: [], strokes, marks, looks: [], hangs_on: Object.fromEntries(marks.map((m) => [m.id, m.on])) };
    };
    const clipOf = (id: Id) => [...this.turns.values()].find((t) => t.strokes.some((s) => s.id === id))?.clip_id ?? "";
    let n = 0;
    const mark = (clip: Id, on: Id, f: Id, frame: number): Mark => {
      const m = { id: `m${n++}`, clip_id: clip, fault_id: f, coach_id: "k", frame, ticks: 0, source: "hand" as const, confidence: 1, made: "", on };
      this.marks.push(m);
      return m;
    };
    vi.stubGlobal("window", {
      go: {
        main: {
          Library: { State: () => Promise.resolve(this.app.state) },
          Bench: {
            Open: () => this.opening.pass(),
            MarkPlayed: (clip: Id, frame: number, f: Id) => Promise.resolve({ mark: mark(clip, "", f, frame), other: "" }),
            AddMark: (clip: Id, frame: number, f: Id) => Promise.resolve(mark(clip, "", f, frame)),
            RemoveMark: async (id: Id) => {
              await this.writing.pass();
              this.marks.splice(this.marks.findIndex((m) => m.id === id), 1);
            },
          },
          Strokes: {
            Save: async (id: Id, _frame: number, side: string, outcome: string) => {
              await this.writing.pass();
              this.saved.push({ id, side, outcome });
              return { id };
            },
          },
          Settling: {
            TakeOver: (id: Id) => {
              const t = this.turns.get(id);
              if (t) this.turns.set(id, { ...t, heard: 0, strokes: [stroke("h1", 60), stroke("h2", 120)] });
              return Promise.resolve({});
            },
          },
          Pass: {
            Wish: () => Promise.resolve(this.wish),
            SetWish: () => Promise.resolve(),
            Turn: async (id: Id) => {
              await this.reading.pass();
              const t = this.turns.get(id);
              if (!t) throw new Error("unknown: This turn is not in the library any more.");
              return structuredClone(t);
            },
            Mark: async (on: Id, f: Id, frame: number) => {
              await this.writing.pass();
              return mark(clipOf(on), on, f, frame);
            },
            Looked: (turn: Id, focus: readonly Id[]) => {
              if (!this.turns.has(turn)) return Promise.reject(new Error("unknown: This turn is not in the library any more."));
              this.looks.push({ turn, focus });
              return Promise.resolve({});
            },
          },
        },
      },
    });
    const viewer = (clip: Id) => {
      let stop: ((reached: boolean) => void) | null = null;
      let undo = () => {};
      const v = {
        clip, rate: 1, playing: false, current: 0, timeline: { seconds: (f: number) => f / 50 },
        pause: () => {
          undo();
          v.playing = false;
          stop?.(false);
          stop = null;
        },
        goTo: (f: number) => {
          v.pause();
          v.current = f;
        },
        step: (by: number) => v.goTo(v.current + by),
        playSpan: (from: number, to: number) => {
          v.goTo(from);
          if (this.bench.viewer !== (v as unknown)) throw new Error("a picture that is put away plays");
          this.shown.push(this.pass.stroke?.id ?? this.pass.turn?.turn_id ?? "");
          const t = this.pass.turn;
          if (t && t.clip_id !== clip) throw new Error(`a turn of clip ${t.clip_id} plays on clip ${clip}`);
          v.playing = true;
          return new Promise<boolean>((done) => {
            stop = done;
            undo = this.clock.after((to - from) / 50 / v.rate, () => {
              stop = null;
              v.current = to;
              v.playing = false;
              done(true);
            });
          });
        },
      };
      return v;
    };
    const bench = {
      app: this.app,
      viewer: null as ReturnType<typeof viewer> | null,
      trouble: "",
      ledger: ledger(""),
      get clip() {
        return this.viewer ? { id: this.viewer.clip } : undefined;
      },
      coachKnown: () => true,
      at: (f: number) => `frame ${f}`,
      open: async ({ clip }: { clip: Id }) => {
        bench.viewer?.pause();
        bench.viewer = null;
        bench.ledger = ledger("");
        await this.opening.pass();
        if (this.broken.has(clip)) {
          bench.trouble = "This film is not in its place.";
          this.app.tell(bench.trouble, true);
          return;
        }
        bench.viewer = viewer(clip);
        bench.ledger = ledger(clip);
      },
      write: <T>(work: (clip: Id) => Promise<T>, done: (r: T) => string) => {
        const clip = bench.clip?.id;
        if (!clip) return Promise.resolve(undefined);
        return this.app.write(() => work(clip), done, {
          reread: () => {
            if (bench.clip?.id === clip) bench.ledger = ledger(clip);
            return Promise.resolve();
          },
        });
      },
    };
    this.reload = () => (bench.ledger = ledger(bench.clip?.id ?? ""));
    this.bench = bench as unknown as Bench;
    this.app.state = { dir: "/x", name: "x", read_only: false, warning: "", coach_id: "k", undo: "", redo: "", demo: false };
    this.app.catalogue = { coaches: [], players: [], drills: [], faults: [elbow, late, close] };
    this.pass = new Pass(this.bench, () => this.clock.t, (s) => new Promise((done) => this.clock.after(s, () => done())));
    (bench as { pass?: Pass }).pass = this.pass;
  }

  reload: () => void;
  put(...turns: PassTurn[]): void {
    for (const t of turns) this.turns.set(t.turn_id, t);
  }
  async start(...turns: Id[]): Promise<void> {
    void this.pass.start(turns);
    await settle();
  }
  async press(...keys: string[]): Promise<void> {
    for (const key of keys) passKeys(this.bench).find((k) => k.press.includes(key))?.run(false);
    await settle();
  }
  /** Lets the time run until a stroke, or a turn without strokes, is shown. */
  async until(id: Id): Promise<void> {
    for (let i = 0; i < 2000 && this.here !== id; i++) await this.clock.go(0.02);
    expect(this.here).toBe(id);
  }
  get here(): Id {
    return this.pass.stroke?.id ?? this.pass.turn?.turn_id ?? "";
  }
  get on(): string[] {
    return this.marks.map((m) => `${m.fault_id} ${m.on}`).sort();
  }
}

describe("Pass", () => {
  let room: Room;
  beforeEach(() => {
    room = new Room();
    room.put(
      turnOf("t1", "c", stroke("s1", 100), stroke("s2", 150), stroke("s3", 200)),
      turnOf("t2", "c", stroke("u1", 300), stroke("u2", 350)),
      turnOf("t3", "d", stroke("v1", 40), stroke("v2", 90)),
    );
  });
  afterEach(() => {
    room.pass.stop();
    vi.unstubAllGlobals();
  });

  it("runs over every stroke and says that each turn is looked through", async () => {
    await room.start("t1", "t2", "t3");
    await room.clock.go(60);
    expect(room.shown).toEqual(["s1", "s2", "s3", "u1", "u2", "v1", "v2"]);
    expect(room.looks.map((l) => l.turn)).toEqual(["t1", "t2", "t3"]);
    expect(room.pass.active).toBe(false);
    expect(room.app.said.text).toBe("The pass is done: it went over 3 turns. The last: 2 strokes, 0 marks, streak 2.");
  });

  it("marks the stroke that is shown, takes it off with the same key, and takes several", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    await room.press("e");
    expect(room.on).toEqual(["f1 s1"]);
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(true);
    await room.press("e");
    expect(room.on).toEqual([]);
    await room.press("e", "l", "c");
    expect(room.on).toEqual(["f1 s1", "f2 s1", "f3 s1"]);
    expect(room.marks.every((m) => m.frame === -1)).toBe(true);
  });

  it("toggles as often as the key is pressed, however slow the disk", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    room.writing.shut();
    await room.press("e", "e", "e");
    room.writing.open();
    await settle();
    expect(room.on).toEqual(["f1 s1"]);
    await room.press("e", "e");
    expect(room.on).toEqual(["f1 s1"]);
  });

  it.each([0.01, 0.1, 0.3])("takes a key %f s after a stroke begins for the one before", async (wait) => {
    await room.start("t1");
    await room.until("s2");
    await room.clock.go(wait);
    await room.press("e");
    expect(room.on).toEqual(["f1 s1"]);
    await room.press("e");
    expect(room.on).toEqual([]);
  });

  it("takes a key as late as they come for its own stroke, whatever the phase", async () => {
    for (const [f, frame] of [[elbow, 102], [late, 130], [close, 100]] as const) {
      const r = new Room();
      r.put(turnOf("t1", "c", stroke("s1", 100), stroke("s2", 150)));
      await r.start("t1");
      await r.clock.go((frame - 80) / 50 + 1);
      await r.press(f.key);
      expect(r.on, f.code).toEqual([`${f.id} s1`]);
      await r.until("s2");
      r.pass.stop();
    }
  });

  it("takes a late key for the turn before, in the same clip and in another", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("u1");
    await room.press("l");
    expect(room.on).toEqual(["f2 s3"]);
    await room.until("v1");
    await room.press("e");
    expect(room.on).toEqual(["f1 u2", "f2 s3"]);
    await room.press("e");
    expect(room.on).toEqual(["f2 s3"]);
  });

  it("takes a mark in another clip off that lay there before", async () => {
    await room.start("t2", "t3");
    await room.until("u2");
    await room.clock.go(0.9);
    await room.press("e");
    await room.until("v1");
    await room.press("e");
    expect(room.on).toEqual([]);
  });

  it("loses no key while the next clip is being opened", async () => {
    await room.start("t2", "t3");
    await room.until("u2");
    room.opening.shut();
    await room.press("Enter");
    await settle();
    await room.press("e");
    room.opening.open();
    await room.clock.go(0.1);
    expect(room.on).toEqual(["f1 u2"]);
    expect(room.here).toBe("v1");
  });

  it.each(["Enter", "ArrowRight", "ArrowLeft", "ArrowUp", "ArrowDown", "Space", "Delete", "Ctrl+ArrowDown"])("goes to the next turn although %s is pressed while its clip is being opened", async (key) => {
    room.put(turnOf("t4", "d", stroke("w1", 240)));
    await room.start("t2", "t3", "t4");
    await room.until("u2");
    room.opening.shut();
    await room.press("Enter");
    await room.press(key);
    room.opening.open();
    await room.clock.go(0.1);
    expect(room.here).toBe("v1");
    expect(room.pass.held).toBe(false);
  });

  it("does not go over a turn at a double Enter", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("s3");
    room.reading.shut();
    await room.press("Enter", "Enter");
    room.reading.open();
    await room.clock.go(0.05);
    expect(room.here).toBe("u1");
    expect(room.looks.map((l) => l.turn)).toEqual(["t1"]);
  });

  it("stays ended when it is ended while a clip is being opened", async () => {
    await room.start("t2", "t3");
    await room.until("u2");
    room.opening.shut();
    await room.press("Enter");
    await room.press("Escape");
    room.opening.open();
    await room.clock.go(5);
    expect(room.pass.active).toBe(false);
    expect(room.pass.turn).toBeNull();
    expect(room.shown.at(-1)).toBe("u2");
  });

  it("can be ended, and begun anew, while it is being begun", async () => {
    room.reading.shut();
    void room.pass.start(["t1"]);
    await settle();
    await room.press("Escape");
    void room.pass.start(["t2"]);
    room.reading.open();
    await room.clock.go(0.1);
    expect(room.here).toBe("u1");
    expect(room.shown).toEqual(["u1"]);
  });

  it("keeps a mark made while held at that frame", async () => {
    await room.start("t1");
    await room.clock.go(0.3);
    await room.press("ArrowDown");
    expect(room.bench.viewer?.current).toBe(100);
    await room.press("ArrowRight", "ArrowRight", "e");
    expect(room.marks.map((m) => m.frame)).toEqual([102]);
    await room.clock.go(20);
    expect(room.here).toBe("s1");
    await room.press("Space");
    await room.until("s2");
  });

  it("goes back across turns, repeats, and takes keys then for what is shown", async () => {
    await room.start("t1", "t2");
    await room.until("u1");
    await room.press("ArrowLeft");
    expect(room.here).toBe("s3");
    await room.press("e");
    expect(room.on).toEqual(["f1 s3"]);
    await room.press("ArrowLeft");
    expect(room.here).toBe("s2");
    await room.clock.go(0.9);
    await room.press("ArrowUp");
    await room.press("l");
    expect(room.on).toEqual(["f1 s3", "f2 s2"]);
  });

  it("waits for a key, or shows a stroke so many times, where that is wished", async () => {
    room.wish = { ...room.wish, run_on: false };
    await room.start("t2");
    await room.clock.go(30);
    expect(room.here).toBe("u1");
    expect(room.shown.length).toBeGreaterThan(20);
    await room.press("Enter");
    expect(room.here).toBe("u2");
    await room.press("e"); // at once: for the one before
    expect(room.on).toEqual(["f1 u1"]);
    room.pass.stop();
    room.shown.length = 0;
    room.wish = { ...room.wish, run_on: true, loops: 3 };
    await room.start("t2");
    await room.clock.go(30);
    expect(room.shown).toEqual(["u1", "u1", "u1", "u2", "u2", "u2"]);
  });

  it("looks for the focus only, and says so of the turn", async () => {
    void room.pass.start(["t2"], [late.id]);
    await settle();
    expect(room.pass.faults).toEqual([late]);
    await room.clock.go(0.9);
    await room.press("e");
    await room.clock.go(20);
    expect(room.on).toEqual([]);
    expect(room.looks).toEqual([{ turn: "t2", focus: [late.id] }]);
  });

  it("does not count a turn as looked through of which strokes were left out", async () => {
    await room.start("t1", "t2");
    await room.clock.go(0.2);
    room.pass.goTo("s3");
    await room.until("u1");
    expect(room.looks).toEqual([]);
    await room.press("Delete");
    await room.clock.go(5);
    expect(room.looks).toEqual([]);
    expect(room.pass.active).toBe(false);
  });

  it("does not count a turn for faults that were taken into the focus when it was shown in part", async () => {
    room.pass.wish = room.wish;
    void room.pass.start(["t1"], [late.id]);
    await settle();
    await room.until("s3");
    await room.pass.choose({ focus: [] });
    expect(room.here).toBe("s1");
    await room.press("Escape");
    expect(room.looks).toEqual([]);
  });

  it("keeps both where side and outcome are set one right after the other, and every turn of the outcome", async () => {
    await room.start("t1");
    await room.clock.go(0.2);
    await room.press("ArrowDown"); // held: for what is shown
    room.writing.shut();
    await room.press("-", "Ctrl+b");
    room.writing.open();
    await settle();
    expect(room.saved.at(-1)).toEqual({ id: "s1", side: "backhand", outcome: "missed" });
    expect([room.pass.stroke?.side, room.pass.stroke?.outcome]).toEqual(["backhand", "missed"]);
    await room.press("-", "-");
    expect(room.saved.at(-1)).toEqual({ id: "s1", side: "backhand", outcome: "missed" });
  });

  it("goes over a turn that was removed meanwhile and on to the next", async () => {
    room.turns.delete("t2");
    await room.start("t1", "t2", "t3");
    await room.until("s2");
    await room.until("v1");
    expect(room.looks.map((l) => l.turn)).toEqual(["t1"]);
  });

  it("goes on where the turn that it shows was removed", async () => {
    await room.start("t1", "t2");
    await room.until("s2");
    room.turns.delete("t1");
    await room.pass.refresh();
    await room.clock.go(0.1);
    expect(room.here).toBe("u1");
    expect(room.looks).toEqual([]);
  });

  it("takes a late key for the outcome for the stroke before", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("s2");
    await room.clock.go(0.4);
    await room.press("-");
    expect(room.saved).toEqual([{ id: "s1", side: "", outcome: "missed" }]);
    expect(room.pass.stroke?.outcome).toBe("good");
    await room.press("-");
    expect(room.saved.at(-1)).toEqual({ id: "s1", side: "", outcome: "good" });
    await room.until("v1");
    await room.press("-");
    expect(room.saved.at(-1)).toEqual({ id: "u2", side: "", outcome: "missed" });
  });

  it("keeps a focus that is given for this pass alone, whatever else is set in it", async () => {
    const set = vi.spyOn((window as unknown as { go: { main: { Pass: { SetWish: (w: PassWish) => Promise<void> } } } }).go.main.Pass, "SetWish");
    void room.pass.start(["t1"], [late.id]);
    await settle();
    await room.press("Ctrl+ArrowDown");
    expect(set).toHaveBeenCalledWith({ ...room.wish, rate: 0.5 });
    expect(room.pass.faults).toEqual([late]);
    await room.pass.choose({ focus: [elbow.id] });
    expect(set).toHaveBeenLastCalledWith({ ...room.wish, rate: 0.5, focus: [elbow.id] });
  });

  it("shows what undo has changed", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    await room.press("e");
    room.marks.pop();
    room.reload();
    await room.pass.refresh();
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(false);
    const t = room.turns.get("t1")!;
    room.put({ ...t, strokes: [t.strokes[0]!, stroke("n", 160), t.strokes[2]!] });
    await room.pass.refresh();
    await room.clock.go(0.1);
    expect(room.pass.turn?.strokes.map((s) => s.id)).toEqual(["s1", "n", "s3"]);
    await room.clock.go(30);
    expect(room.looks.map((l) => l.turn)).toEqual(["t1"]);
  });

  it("ends where a clip does not open, and says why", async () => {
    room.broken.add("d");
    await room.start("t2", "t3");
    await room.clock.go(20);
    expect(room.pass.active).toBe(false);
    expect(room.app.said).toEqual({ text: "This film is not in its place.", wrong: true });
    expect(room.looks.map((l) => l.turn)).toEqual(["t2"]);
  });

  it("asks before it takes over heard strokes, and goes on with them", async () => {
    room.put({ ...turnOf("t4", "c"), heard: 2 });
    await room.start("t2", "t4");
    await room.until("t4");
    expect(room.pass.question).toBe("take over");
    await room.press("l"); // still for the stroke before
    expect(room.on).toEqual(["f2 u2"]);
    await room.clock.go(9);
    await room.press("e", "Space", "ArrowUp");
    expect(room.on).toEqual(["f2 u2"]);
    await room.press("Enter", "Enter");
    await room.clock.go(0.1);
    expect(room.here).toBe("h1");
    await room.clock.go(20);
    expect(room.looks.map((l) => l.turn)).toEqual(["t2", "t4"]);
  });

  it("waits for the sound that is still listened to, and can leave the turn out", async () => {
    room.put({ ...turnOf("t4", "c"), waiting: true });
    await room.start("t4", "t2");
    expect(room.pass.question).toBe("listening");
    room.put({ ...turnOf("t4", "c"), heard: 2 });
    await room.pass.heardMore();
    expect(room.pass.question).toBe("take over");
    await room.press("Delete");
    expect(room.here).toBe("u1");
    expect(room.looks).toEqual([]);
  });

  it("shows a turn without strokes as a whole, and a late key is for the stroke before it", async () => {
    room.put({ ...turnOf("t4", "c"), first: 400, last: 500 });
    await room.start("t2", "t4");
    await room.until("t4");
    await room.clock.go(0.1);
    await room.press("l");
    expect(room.on).toEqual(["f2 u2"]);
    await room.clock.go(1);
    await room.press("e");
    expect(room.marks).toHaveLength(2);
    await room.clock.go(9);
    expect(room.looks.map((l) => l.turn)).toEqual(["t2", "t4"]);
  });

  it("waits at the end of the list for a finger as slow as they come", async () => {
    await room.start("t2");
    await room.until("u2");
    await room.clock.go(1 + 0.99); // its last picture, and the slowest reaction
    await room.press("l");
    expect(room.on).toEqual(["f2 u2"]);
  });

  it("says why a mark was not kept, and shows it no more", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    const main = (window as unknown as { go: { main: { Pass: { Mark: () => Promise<never> } } } }).go.main;
    main.Pass.Mark = () => Promise.reject(new Error("problem: The disk is full."));
    await room.press("e");
    expect(room.app.said).toEqual({ text: "The disk is full.", wrong: true });
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(false);
  });
});
