import { describe, expect, it } from "vitest";
import type { Mark, Outcome, Side, Sides, Stroke, Turn } from "../api/domain";
import type { Proposal } from "../api/domain";
import rules from "../../../internal/club/testdata/rules.json";
import { canOccur, loggedStrokes, endTurn, margin, marginWords, patternSide, strokeRow, streak, strokeBefore, turnAt } from "./turns";

const turn = (id: string, first: number, last: number): Turn => ({
  id,
  clip_id: "c",
  player_id: "p",
  drill_id: "d",
  first,
  last,
  first_ticks: first,
  last_ticks: last,
});
const stroke = (id: string, frame: number, outcome: Outcome = "good", side: Side = ""): Stroke => ({
  id,
  clip_id: "c",
  frame,
  ticks: frame * 10,
  side,
  outcome,
  source: "hand",
  confidence: 1,
  coach_id: "k",
});
const mark = (id: string, frame: number, fault = "f"): Mark => ({
  id,
  clip_id: "c",
  fault_id: fault,
  coach_id: "k",
  frame,
  ticks: frame * 10,
  source: "hand",
  confidence: 1,
  made: "",
});

const onlyStrokes = (strokes: Stroke[]) => ({ strokes, marks: [], hangs_on: {} });

describe("turns", () => {
  const turns = [turn("a", 10, 20), turn("b", 30, 40)];

  it("cover their first and last frame", () => {
    expect(turnAt(turns, 10)?.id).toBe("a");
    expect(turnAt(turns, 20)?.id).toBe("a");
    expect(turnAt(turns, 21)).toBeUndefined();
    expect(turnAt(turns, 30)?.id).toBe("b");
  });

  it("end after they start, else the coach is told what to do", () => {
    expect(endTurn(10, 20, (id) => id)).toEqual({ first: 10, last: 20 });
    expect(endTurn(10, 10, (id) => id)).toEqual({ first: 10, last: 10 });
    expect(endTurn(null, 20, (id) => id)).toHaveProperty("say");
    expect(endTurn(21, 20, (id) => id)).toHaveProperty("say");
  });
});

describe("logged", () => {
  it("take their side from the pattern until a coach sets it", () => {
    const row = loggedStrokes(
      turn("a", 0, 100),
      onlyStrokes([stroke("1", 10), stroke("2", 20), stroke("3", 30, "good", "forehand"), stroke("4", 40)]),
      "FFB",
    );
    expect(row.map((b) => b.side)).toEqual(["forehand", "forehand", "forehand", "forehand"]);
    expect(row.map((b) => b.sideSet)).toEqual([false, false, true, false]);
    expect(patternSide("FFB", 2)).toBe("backhand");
    expect(patternSide("", 2)).toBe("");
  });

  it("carry only what lies in the turn", () => {
    const row = loggedStrokes(
      turn("a", 10, 20),
      {
        strokes: [stroke("1", 9), stroke("2", 10), stroke("3", 20), stroke("4", 21)],
        marks: [mark("m", 19), mark("n", 22)],
        hangs_on: { m: "3", n: "4" },
      },
      "",
    );
    expect(row.map((b) => b.stroke.id)).toEqual(["2", "3"]);
    expect(row.map((b) => b.marks.length)).toEqual([0, 1]);
  });

  it("carry the marks that the program says hang on them", () => {
    const row = loggedStrokes(
      turn("a", 0, 100),
      {
        strokes: [stroke("1", 10), stroke("2", 20)],
        marks: [mark("m", 11), mark("n", 19), mark("o", 12)],
        hangs_on: { m: "2", n: "", o: "2" },
      },
      "FB",
    );
    expect(row.map((b) => b.marks.map((m) => m.id))).toEqual([[], ["m", "o"]]);
  });

  it("stand in one row with what is only heard", () => {
    const heard = (frame: number): Proposal => ({
      frame,
      seconds: frame / 50,
      side: "backhand",
      outcome: "missed",
      confidence: 0.6,
      answer: null,
      side_chance: 0,
      seen: false,
    });
    const row = strokeRow(loggedStrokes(turn("a", 0, 100), onlyStrokes([stroke("1", 10), stroke("3", 30)]), "F"), [heard(20), heard(40)]);
    expect(row.map((p) => [p.frame, p.logged?.stroke.id ?? "heard", p.outcome])).toEqual([
      [10, "1", "good"],
      [20, "heard", "missed"],
      [30, "3", "good"],
      [40, "heard", "missed"],
    ]);
  });

  it("say how much time was left before the partner's contact", () => {
    const at = (ready: number | null, answer: number | null): Stroke => ({
      ...stroke("1", 10),
      ready: ready === null ? null : { frame: ready, ticks: ready },
      answer,
    });
    const seconds = (frame: number) => frame / 50;
    expect(margin(at(40, 1), seconds)).toBeCloseTo(0.2);
    expect(margin(at(60, 1), seconds)).toBeCloseTo(-0.2);
    expect(margin(at(null, 1), seconds)).toBeUndefined();
    expect(margin(at(40, null), seconds)).toBeUndefined();
    expect(marginWords(0.123)).toBe("ready 0.12 s before the partner's contact");
    expect(marginWords(-0.08)).toBe("0.08 s late");
    expect(marginWords(-0.001)).toBe("ready just as the partner strikes");
  });

  it("count good strokes in a row, and start again at a miss", () => {
    expect(streak(["good", "good", "missed", "good", "good", "good", "missed", "good"])).toEqual({ longest: 3, current: 1 });
    expect(streak([])).toEqual({ longest: 0, current: 0 });
  });

  it("find the stroke at or before a frame", () => {
    const all = [stroke("1", 10), stroke("2", 20)];
    expect(strokeBefore(all, 9)).toBeUndefined();
    expect(strokeBefore(all, 10)?.id).toBe("1");
    expect(strokeBefore(all, 25)?.id).toBe("2");
  });
});

describe("rules that the program has too", () => {
  it("are held against the same file", () => {
    for (const [name, list] of Object.entries(rules)) expect(list.length, name).toBeGreaterThan(0);
    for (const r of rules.patterns) expect(patternSide(r.pattern, r.place), JSON.stringify(r)).toBe(r.side);
    for (const r of rules.streaks)
      expect(streak(r.outcomes as Outcome[]), JSON.stringify(r)).toEqual({ longest: r.longest, current: r.current });
    for (const r of rules.faults) expect(canOccur(r.sides as Sides, r.side as Side), JSON.stringify(r)).toBe(r.counts);
  });
});
