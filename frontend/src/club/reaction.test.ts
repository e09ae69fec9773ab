import { expect, it } from "vitest";
import type { Fault } from "../api/domain";
import { PAUSE, PRESSES, quantile, Reaction, type Clockwork } from "./reaction.svelte";

const fault = (key: string, more: Partial<Fault> = {}): Fault => ({
  id: key,
  code: key.toUpperCase(),
  label: `Fault ${key}`,
  phase: "ready",
  sides: "both",
  weight: 1,
  key,
  ...more,
});
const FAULTS = [fault("a"), fault("b"), fault("c"), fault("", { id: "keyless" }), fault("x", { retired: true })];

/** A clock that stands until it is moved. */
function clockwork() {
  let now = 1000;
  let chance = 0;
  let due: { at: number; work: () => void } | null = null;
  let paint: (() => void) | null = null;
  const pauses: number[] = [];
  const it: Clockwork = {
    now: () => now,
    random: () => (chance = (chance + 0.37) % 1),
    after: (ms, work) => {
      const mine = { at: now + ms, work };
      due = mine;
      pauses.push(ms);
      return () => {
        if (due === mine) due = null;
      };
    },
    painted: (work) => (paint = work),
  };
  const pass = (ms: number) => {
    now += ms;
    if (due && due.at <= now) {
      const { work } = due;
      due = null;
      work();
    }
  };
  const draw = () => {
    paint?.();
    paint = null;
  };
  return { it, pass, draw, pauses, waits: () => due !== null };
}

function exercise(faults = FAULTS) {
  const clock = clockwork();
  const reaction = new Reaction(faults, clock.it);
  /** Waits for the label, and presses its key so many ms after it was painted. */
  const good = (ms: number) => {
    clock.pass(PAUSE.most);
    clock.pass(30); // the label is set, and painted a little later
    clock.draw();
    clock.pass(ms);
    reaction.press(reaction.fault?.key ?? "");
  };
  return { ...clock, reaction, good };
}

it("takes twelve good presses, counted from when the label was painted, and gives median and middle half", () => {
  const { reaction, good, pauses, waits } = exercise();
  reaction.begin();
  const times = [900, 400, 380, 420, 500, 350, 610, 450, 470, 300, 330, 480];
  for (const [i, ms] of times.entries()) {
    expect([reaction.stage, reaction.times.length]).toEqual(["pause", i]);
    good(ms);
  }
  expect(reaction.stage).toBe("done");
  // Sorted: 300 330 350 380 400 420 450 470 480 500 610 900; the quartiles by hand, between the nearest two.
  expect(reaction.median).toBe(0.44); // 0.435 to two places
  expect([reaction.low, reaction.high].map((v) => v.toFixed(4))).toEqual(["0.3725", "0.4850"]);
  expect(pauses).toHaveLength(PRESSES);
  for (const ms of pauses) expect(ms >= PAUSE.least && ms <= PAUSE.most).toBe(true);
  expect(new Set(pauses.map(Math.round)).size).toBeGreaterThan(PRESSES / 2);
  expect(waits()).toBe(false);
});

it("shows only faults that have a key and are in use, and each of them", () => {
  const { reaction, pass, draw } = exercise();
  const seen = new Set<string>();
  reaction.begin();
  for (let i = 0; i < 40; i++) {
    pass(PAUSE.most);
    seen.add(reaction.fault?.id ?? "none");
    draw();
    pass(200);
    reaction.press("?");
  }
  expect([...seen].toSorted()).toEqual(["a", "b", "c"]);
});

it("says a wrong key and repeats", () => {
  const { reaction, pass, draw, good } = exercise();
  reaction.begin();
  pass(PAUSE.most);
  draw();
  pass(400);
  const shown = reaction.fault;
  reaction.press("ö");
  expect(reaction.message).toBe(`That was “ö”: the key of ${shown?.code} is “${shown?.key}”.`);
  expect([reaction.stage, reaction.times.length]).toEqual(["pause", 0]);
  good(400);
  expect([reaction.message, reaction.times.length]).toEqual(["", 1]);
});

it("does not count what was pressed before the label could be read", () => {
  const { reaction, pass, draw, pauses } = exercise();
  reaction.begin();
  pass(100);
  reaction.press("a"); // in the pause
  expect([reaction.message, pauses.length]).toEqual(["Too early: wait for the fault.", 2]);
  pass(PAUSE.least - 100);
  expect(reaction.stage).toBe("pause"); // it begins anew
  pass(PAUSE.most);
  expect(reaction.stage).toBe("shown");
  reaction.press(reaction.fault?.key ?? ""); // before it is painted
  expect(reaction.times).toHaveLength(0);
  pass(PAUSE.most);
  draw();
  pass(99);
  reaction.press(reaction.fault?.key ?? "");
  expect([reaction.times.length, reaction.message]).toEqual([0, "Too early: that was pressed before the fault could be read."]);
  pass(PAUSE.most);
  draw();
  pass(100);
  reaction.press(reaction.fault?.key ?? "");
  expect(reaction.times).toEqual([0.1]);
});

it("needs two keys to choose among", () => {
  const { reaction, waits } = exercise([fault("a"), fault("x", { retired: true })]);
  reaction.begin();
  expect([reaction.possible, reaction.stage, waits()]).toEqual([false, "before", false]);
});

it("begins anew, and leaves nothing behind when it is ended", () => {
  const { reaction, good, waits } = exercise();
  reaction.begin();
  good(400);
  reaction.begin();
  expect(reaction.times).toHaveLength(0);
  reaction.end();
  expect([reaction.stage, waits()]).toEqual(["before", false]);
  reaction.press("a");
  expect(reaction.stage).toBe("before");
});

it("never gives more than a coach can have", () => {
  const { reaction, good } = exercise();
  reaction.begin();
  for (let i = 0; i < PRESSES; i++) good(5000);
  expect(reaction.median).toBe(3);
});

it("finds values between two", () => {
  expect([quantile([1, 2, 3, 4], 0.5), quantile([1, 2, 3], 0.5), quantile([7], 0.25), quantile([0, 10], 0.25)]).toEqual([2.5, 2, 7, 2.5]);
});
