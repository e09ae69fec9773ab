// A program, a bench, a clock and a picture for the tests of a pass: nothing moves by itself.
import { expect, vi } from "vitest";
import type { Fault, Id, Ledger, Mark, PassStroke, PassTurn, PassSettings, Stroke, Outcome, Side } from "../api/domain";
import { App } from "../shared/app.svelte";
import type { Bench } from "./bench.svelte";
import { Pass } from "./pass.svelte";
import { passKeys } from "./passkeys";

const fault = (id: Id, code: string, phase: Fault["phase"], key: string): Fault => ({
  id,
  code,
  label: code,
  phase,
  sides: "both",
  weight: 1,
  key,
});
export const elbow = fault("f1", "ELBOW", "contact", "e");
export const late = fault("f2", "LATE", "recovery", "l");
export const close = fault("f3", "CLOSE", "footwork", "c");

/** A stroke at a frame of 50 a second, shown for 0.4 s before and 0.6 s after its contact. */
export function stroke(id: Id, frame: number): PassStroke {
  return {
    id,
    frame,
    from: frame - 20,
    to: frame + 30,
    side: "forehand",
    set: "",
    outcome: "good",
    suggestions: [],
    earliest: [-50, -50, -17, -2, 0, 10].map((n) => frame + n),
    latest: [0, 0, 0, 2, 12, 50].map((n) => frame + n),
  };
}

export function turnOf(id: Id, clip: Id, ...strokes: PassStroke[]): PassTurn {
  return {
    turn_id: id,
    clip_id: clip,
    player_id: "p",
    drill_id: "d",
    date: "2026-03-14",
    first: 0,
    last: 400,
    strokes,
    heard: 0,
    seen: false,
    waiting: false,
    looked: false,
    reaction: 0.4,
  };
}

export const flush = async () => {
  for (let i = 0; i < 100; i++) await Promise.resolve();
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
    await flush();
    for (;;) {
      const next = this.#due.filter((d) => d.at <= end + 1e-9).sort((a, b) => a.at - b.at)[0];
      if (!next) break;
      this.t = Math.max(this.t, next.at);
      this.#due = this.#due.filter((d) => d !== next);
      next.run();
      await flush();
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

export class Room {
  readonly clock = new Clock();
  readonly turns = new Map<Id, PassTurn>();
  readonly marks: (Mark & { on: Id })[] = [];
  readonly looks: { turn: Id; focus: readonly Id[] }[] = [];
  readonly saved: { id: Id; side: string; outcome: string }[] = [];
  readonly shown: Id[] = [];
  readonly opening = new Gate();
  readonly reading = new Gate();
  readonly writing = new Gate();
  settings: PassSettings = { before: 0.4, after: 0.6, rate: 1, loops: 1, run_on: true, sound: false, focus: [] };
  app = new App();
  bench: Bench;
  pass: Pass;
  /** Clips that do not open. */
  broken = new Set<Id>();

  constructor() {
    const ledger = (clip: Id): Ledger => {
      const strokes: Stroke[] = [...this.turns.values()]
        .filter((t) => t.clip_id === clip)
        .flatMap((t) =>
          t.strokes.map((s): Stroke => {
            const kept = this.saved.findLast((k) => k.id === s.id);
            return {
              id: s.id,
              clip_id: clip,
              frame: s.frame,
              ticks: 0,
              side: (kept?.side ?? "") as Side,
              outcome: (kept?.outcome ?? s.outcome) as Outcome,
              source: "hand",
              confidence: 1,
              coach_id: "k",
            };
          }),
        );
      const marks = this.marks.filter((m) => m.clip_id === clip);
      return { turns: [], strokes, marks, looks: [], hangs_on: Object.fromEntries(marks.map((m) => [m.id, m.on])) };
    };
    const clipOf = (id: Id) => [...this.turns.values()].find((t) => t.strokes.some((s) => s.id === id))?.clip_id ?? "";
    let n = 0;
    const mark = (clip: Id, on: Id, f: Id, frame: number): Mark => {
      const m = {
        id: `m${n++}`,
        clip_id: clip,
        fault_id: f,
        coach_id: "k",
        frame,
        ticks: 0,
        source: "hand" as const,
        confidence: 1,
        made: "",
        on,
      };
      this.marks.push(m);
      return m;
    };
    vi.stubGlobal("window", {
      go: {
        main: {
          Library: { State: () => Promise.resolve(this.app.state) },
          Pictures: {
            Of: vi.fn(() => Promise.resolve({ rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 })),
            Drawings: vi.fn(() => Promise.resolve([])),
          },
          Bench: {
            Open: () => this.opening.pass(),
            MarkPlayed: (clip: Id, frame: number, f: Id) => Promise.resolve({ mark: mark(clip, "", f, frame), other: "" }),
            AddMark: (clip: Id, frame: number, f: Id) => Promise.resolve(mark(clip, "", f, frame)),
            RemoveMark: async (id: Id) => {
              await this.writing.pass();
              this.marks.splice(
                this.marks.findIndex((m) => m.id === id),
                1,
              );
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
            Settings: () => Promise.resolve(this.settings),
            SetSettings: () => Promise.resolve(),
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
        clip,
        rate: 1,
        playing: false,
        current: 0,
        timeline: { seconds: (f: number) => f / 50 },
        stands: { stood: () => 0 },
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
          this.app.notify(bench.trouble, true);
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
    this.app.state = {
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
    this.app.catalogue = { coaches: [], players: [], drills: [], faults: [elbow, late, close] };
    this.pass = new Pass(
      this.bench,
      () => this.clock.t,
      (s) => new Promise((done) => this.clock.after(s, () => done())),
    );
    (bench as { pass?: Pass }).pass = this.pass;
  }

  reload: () => void;
  put(...turns: PassTurn[]): void {
    for (const t of turns) this.turns.set(t.turn_id, t);
  }
  async start(...turns: Id[]): Promise<void> {
    void this.pass.start(turns);
    await flush();
  }
  async press(...keys: string[]): Promise<void> {
    await this.heard(this.clock.t, ...keys);
  }
  /** Keys that were pressed at that time, seconds, and reach the page only now. */
  async heard(at: number, ...keys: string[]): Promise<void> {
    for (const key of keys)
      passKeys(this.app.keymap, this.pass)
        .find((k) => k.press.includes(key))
        ?.run(false, 1000 * at);
    await flush();
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

/** Two turns on one clip and a third on another. */
export function roomOfThree(): Room {
  const room = new Room();
  room.put(
    turnOf("t1", "c", stroke("s1", 100), stroke("s2", 150), stroke("s3", 200)),
    turnOf("t2", "c", stroke("u1", 300), stroke("u2", 350)),
    turnOf("t3", "d", stroke("v1", 40), stroke("v2", 90)),
  );
  return room;
}
