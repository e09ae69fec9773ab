import { describe, expect, it } from "vitest";
import vectors from "../../../internal/tally/testdata/numbers.json";
import type { Comparison, FaultLine, Group, Ladder, Looked, Rung, Share, Sheet, SummaryQuery, Trend } from "../api/domain";
import {
  aroundLeft,
  comparisonWords,
  dayPoints,
  grid,
  marginShort,
  minuteWords,
  narrowed,
  nobodyLooked,
  paceWords,
  percentWords,
  ratePoints,
  rateWords,
  reach,
  rungAt,
  rungWords,
  shade,
  shareWords,
  slopeWords,
  stations,
  trendSign,
  trendWords,
  unmarked,
} from "./numbers";

const share = (x: number, n: number): Share => ({
  x,
  n,
  rate: n > 0 ? x / n : 0,
  low: 0.07,
  high: 0.25,
  turns: 3,
  by: "strokes",
  effect: 1,
});

const looked = (say: string, left: string): Looked => ({
  turns: 0,
  strokes: 0,
  some_turns: 0,
  some_strokes: 0,
  no_turns: 0,
  no_strokes: 0,
  twice_turns: 0,
  assumed_turns: 0,
  say,
  left,
});

function line(id: string, per_stroke: Share | null, expected: number | null = null, marks = 3): FaultLine {
  return {
    fault_id: id,
    code: id.toUpperCase(),
    label: id,
    retired: false,
    mark_ids: [],
    phase: "ready",
    weight: 1,
    cue: "",
    marks,
    unplaced: 0,
    unlooked: 0,
    unlooked_turns: 0,
    unlooked_strokes: 0,
    say: "",
    per_stroke,
    per_minute: null,
    trend: null,
    expected: expected === null ? null : { rate: expected, low: 0, high: 1, club: 0.1, excess: expected - 0.1 },
  };
}

function group(kind: Group["kind"], method: Group["method"], faults: FaultLine[], drill_id = ""): Group {
  return {
    kind,
    method,
    drill_id,
    name: drill_id,
    rung: 1,
    sessions: 1,
    turns: 1,
    seconds: 1,
    first_date: "",
    last_date: "",
    strokes: 1,
    good: 1,
    good_share: null,
    unlogged_turns: 0,
    unlogged_seconds: 0,
    looked: looked("", ""),
    streak: { longest: 0, current: 0, target: 0, reached: false, turn_id: "", clip_id: "", frame: 0 },
    readiness: null,
    tempo: null,
    faults,
  };
}

function sheet(part: Partial<Sheet>): Sheet {
  return {
    player_id: "",
    name: "",
    alias: "",
    contrasts: [],
    all: group("all", "free", []),
    methods: [],
    drills: [],
    comparisons: [],
    phases: [],
    sessions: [],
    balance: { regular: 0, irregular: 0, free: 0, share: null, wish: 0.5, say: "" },
    ladder: null,
    work_on: null,
    best: null,
    latest: null,
    ...part,
  };
}

describe("numbers in words", () => {
  it("are those of the documents, which read the same vectors", () => {
    expect(vectors.shares.length).toBeGreaterThan(0);
    for (const s of vectors.shares) expect(rateWords({ ...s, turns: 3, effect: 1, by: s.by as Share["by"] })).toBe(s.words);
    for (const p of vectors.paces) expect(minuteWords({ ...p, turns: 9, by: "turns", effect: 1 })).toBe(p.words);
    expect(vectors.slopes.length).toBeGreaterThan(0);
    for (const s of vectors.slopes) expect(slopeWords(s).replaceAll("\u00a0", " ")).toBe(s.words);
  });

  it("say that too few turns were seen", () => {
    expect(shareWords({ ...share(9, 60), low: 0, high: 1, by: "none" })).toBe("9 of 60 strokes, 15 %, no interval: too few turns");
    const t: Trend = {
      sessions: 4,
      direction: "too early to tell",
      too_few_turns: true,
      slope: null,
      z: 0,
      test: null,
      effect: 1,
      say: "",
    };
    expect(trendWords(t)).toBe("too early to tell over 4 sessions: too few turns to know how far days differ by chance");
    const s = { ...share(9, 60), low: 0, high: 1, by: "none" as const };
    expect(reach(s)).toEqual({ low: 0.15, high: 0.15 });
    const c: Comparison = {
      kind: "method",
      first: "",
      second: "",
      fault_id: "f",
      code: "F",
      label: "f",
      minutes: null,
      test: null,
      say: "",
      strokes: { first: s, second: s, difference: 0.1, low: -1, high: 1, too_few_turns: true },
    };
    expect(comparisonWords(c)).toBe("+10 points, no interval");
  });

  it("never show a percentage without its counts and interval", () => {
    // Wording of the project's own definition of a summary.
    expect(shareWords(share(7, 52))).toBe("7 of 52 strokes, 13 % (7–25)");
    expect(shareWords(share(1234, 56789))).toMatch(/^1,234 of 56,789 strokes, /);
    expect(shareWords(share(1, 1))).toMatch(/^1 of 1 stroke, /);
    expect(shareWords({ ...share(1, 400), low: 0.0004, high: 0.014 })).toBe("1 of 400 strokes, 0.3 % (<0.1–1.4)");
    expect(shareWords({ ...share(1, 36), low: 0.0063, high: 0.3536 })).toBe("1 of 36 strokes, 3 % (1–35)");
    expect(shareWords({ ...share(1, 300), low: 0.0004, high: 0.2 })).toBe("1 of 300 strokes, <1 % (<1–20)");
    expect(paceWords({ x: 5, minutes: 4.2, rate: 1.19, low: 0.39, high: 2.78, turns: 4, by: "turns", effect: 1 })).toBe(
      "5 in 4.2 min, 1.2 a minute (0.4–2.8)",
    );
    expect(percentWords(0)).toBe("0 %");
  });

  it("say too early before they say a direction", () => {
    const t: Trend = {
      sessions: 2,
      direction: "too early to tell",
      too_few_turns: false,
      slope: null,
      z: 0,
      test: null,
      effect: 1,
      say: "",
    };
    expect(trendWords(t)).toBe("too early to tell: 2 of the 3 sessions that it takes");
    expect(
      trendWords({ ...t, sessions: 5, direction: "getting better", slope: { per_month: -4.12, low: -7, high: -1.2 }, test: null }),
    ).toBe("getting better, −4.1 points a month (−7.0\u00a0to\u00a0−1.2)");
    expect(
      trendWords({ ...t, sessions: 900, direction: "no change shown", slope: { per_month: 0.004, low: -0.012, high: 0.021 }, test: null }),
    ).toBe("no change shown, +0.004 points a month (−0.012\u00a0to\u00a0+0.021)");
    expect(
      trendWords({ ...t, sessions: 90, direction: "getting better", slope: { per_month: -0.12, low: -0.2, high: -0.04 }, test: null }),
    ).toBe("getting better, −0.12 points a month (−0.20\u00a0to\u00a0−0.04)");
    expect(trendWords(null)).toBe("");
    expect([trendSign(t), trendSign(null)]).toEqual(["…", ""]);
  });

  it("say differences with sign and interval, ratios with theirs", () => {
    const c: Comparison = {
      kind: "method",
      first: "Regular",
      second: "Irregular",
      fault_id: "f",
      code: "F",
      label: "f",
      minutes: null,
      test: null,
      say: "",
      strokes: { first: share(1, 18), second: share(7, 18), difference: 0.333, low: 0.0496, high: 0.55, too_few_turns: false },
    };
    expect(comparisonWords(c)).toBe("+33 points (+5 to +55)");
    const parts = c.strokes;
    if (!parts) throw new Error("no strokes are compared");
    expect(comparisonWords({ ...c, strokes: { ...parts, difference: 0.0013, low: 0.0005, high: 0.0023 } })).toBe(
      "+0.13 points (+0.05 to +0.23)",
    );
    expect(comparisonWords({ ...c, strokes: { ...parts, difference: 0.006, low: -0.004, high: 0.016 } })).toBe(
      "+0.6 points (−0.4 to +1.6)",
    );
    const pace = { x: 2, minutes: 1, rate: 2, low: 0, high: 7, turns: 4, by: "turns" as const, effect: 1 };
    expect(
      comparisonWords({
        ...c,
        strokes: null,
        minutes: { first: pace, second: pace, ratio: 2.13, low: 0.8, high: 5.6, too_few_turns: false },
      }),
    ).toBe("2.1 times (0.8 to 5.6)");
    expect(
      comparisonWords({
        ...c,
        strokes: null,
        minutes: { first: pace, second: pace, ratio: null, low: 1.1, high: null, too_few_turns: false },
      }),
    ).toBe("at least 1.1 times");
    const few = { ...pace, by: "none" as const, low: 0, high: 0 };
    expect(
      comparisonWords({
        ...c,
        strokes: null,
        minutes: { first: few, second: { ...few, rate: 3 }, ratio: null, low: 0, high: null, too_few_turns: true },
      }),
    ).toBe("1.5 times, no interval");
    expect(paceWords(few)).toBe("2 in 1.0 min, 2.0 a minute, no interval: too few turns");
  });

  it("say why a slope is not called a trend although its interval leaves 0 out", () => {
    const t: Trend = {
      sessions: 5,
      direction: "no change shown",
      too_few_turns: false,
      slope: { per_month: -4.12, low: -7, high: -1.2 },
      z: -2,
      test: { p: 0.01, adjusted: 0.2, survives: false, shown: true, because: "the interval leaves 0 out, but 15 things were tested" },
      effect: 1,
      say: "",
    };
    expect(trendWords(t)).toMatch(/^no change shown, .*\); the interval leaves 0 out, but 15 things were tested$/);
  });

  it("tell late from in time", () => {
    expect([marginShort(0.123), marginShort(-0.05), marginShort(0.001)]).toEqual(["0.12 s in time", "0.05 s late", "just in time"]);
  });

  it("say where a rung stands", () => {
    const r = { passed: false, by: "", tries: 0, best: 0, target: 10, passed_on: "" } as unknown as Rung;
    expect(rungWords(r)).toBe("not tried yet");
    expect(rungWords({ ...r, tries: 3, best: 7 })).toBe("best 7 of 10");
    expect(rungWords({ ...r, passed: true, by: "turn", passed_on: "2026-03-02" })).toBe("passed 2026-03-02");
    expect(rungWords({ ...r, passed: true, by: "ruling", passed_on: "2026-03-02" })).toBe("passed 2026-03-02, set by hand");
    expect(rungWords({ ...r, best: 12, tries: 1, by: "ruling" })).toBe("not passed, set by hand");
  });
});

describe("the rung that a player is at", () => {
  const rung = (drill_id: string, rest: Partial<Rung>) =>
    ({ drill_id, rung: 1, passed: false, retired: false, tries: 0, history: [], ...rest }) as unknown as Rung;
  const tried = (date: string) => ({ tries: 1, history: [{ date }] }) as unknown as Partial<Rung>;
  const ladder = (rungs: Rung[], next = ""): Ladder => ({ rungs, next, passed: 0, of: rungs.length, assume: "", tries_cap: 0 });

  it.each([
    [
      "the one tried last",
      [rung("a", {}), rung("b", tried("2026-03-02")), rung("c", tried("2026-03-09")), rung("d", tried("2026-03-01"))],
      "a",
      "c",
    ],
    ["not one that is passed", [rung("a", tried("2026-03-02")), rung("b", { ...tried("2026-03-09"), passed: true })], "a", "a"],
    ["the next one where none was tried", [rung("a", { passed: true }), rung("b", {}), rung("c", {})], "b", "b"],
    ["the top where all are passed", [rung("a", { passed: true }), rung("b", { passed: true })], "", "b"],
  ])("is %s", (_, rungs, next, want) => expect(rungAt(ladder(rungs, next))?.drill_id).toBe(want));

  it("is none where the club has no drills", () => expect(rungAt(ladder([]))).toBeUndefined());
});

describe("rows of the charts", () => {
  it("pair the methods of each fault, without what has no strokes", () => {
    const s = sheet({
      all: group("all", "free", [line("late", share(7, 52)), line("unseen", share(0, 52), null, 0)]),
      methods: [
        group("method", "regular", [line("late", share(2, 30))]),
        group("method", "irregular", [line("late", share(5, 22))]),
        group("method", "free", [line("late", null)]),
      ],
    });
    expect(ratePoints(s).map((p) => [p.code, p.method, p.x])).toEqual([
      ["LATE", "regular", 2],
      ["LATE", "irregular", 5],
    ]);
  });

  it("shade a cell by the rate to expect, and one without strokes not at all", () => {
    const s = sheet({
      all: group("all", "free", [line("late", share(3, 4)), line("none", share(0, 4), null, 0)]),
      drills: [
        group("drill", "regular", [line("late", share(3, 3), 0.4)], "a"),
        group("drill", "free", [line("late", null)], "b"),
        group("drill", "free", [], "c"),
      ],
    });
    const g = grid(s);
    expect(g.rows).toHaveLength(1);
    expect(g.rows[0]?.cells.map((c) => c.rate)).toEqual([0.4, null, null]);
    expect(g.top).toBe(0.4);
    expect([shade(0, 0.4), shade(0.1, 0.4), shade(0.4, 0.4), shade(1, 0.4)]).toEqual([0, 0.25, 1, 1]);
  });

  it("leave out training days on which the fault could not happen", () => {
    const day = (date: string, s: Share | null) => ({
      date,
      turns: 1,
      strokes: 1,
      good: 1,
      longest: 1,
      minutes: 0,
      faults: [{ fault_id: "f", per_stroke: s, per_minute: null }],
    });
    const points = dayPoints([day("2026-03-02", share(1, 5)), day("2026-03-09", null), day("2026-03-16", share(0, 0))], "f");
    expect(points.map((p) => p.date)).toEqual(["2026-03-02"]);
  });

  it("give each phase its part of all faults", () => {
    const rows = stations(
      sheet({
        phases: [
          { phase: "ready", seen: 1, of: 4, marks: 1 },
          { phase: "contact", seen: 0, of: 0, marks: 0 },
        ],
      }),
    );
    expect(rows.map((r) => r.share)).toEqual([0.25, 0]);
  });
});

describe("what nobody has looked at", () => {
  const unseen = { ...line("late", null), say: "not looked through" };

  it("makes the number of a sentence one to open", () => {
    expect(
      aroundLeft(looked("Nobody has looked through 3 of 41 turns yet. Two coaches or more have looked at 3 turns.", "3 of 41 turns")),
    ).toEqual(["Nobody has looked through ", "3 of 41 turns", " yet. Two coaches or more have looked at 3 turns."]);
    expect(aroundLeft(looked("Two coaches or more have looked at 3 turns.", ""))).toEqual([
      "Two coaches or more have looked at 3 turns.",
      "",
      "",
    ]);
    expect(aroundLeft(looked("", ""))).toEqual(["", "", ""]);
  });

  it("is not what could not happen, and not what was looked at in part", () => {
    expect(nobodyLooked(unseen)).toBe(true);
    expect(nobodyLooked(line("late", null))).toBe(false);
    expect(nobodyLooked({ ...line("late", share(0, 9)), say: "3 strokes not looked at" })).toBe(false);
    const minutes = { x: 0, minutes: 1, rate: 0, low: 0, high: 3, turns: 4, by: "turns" as const, effect: 1 };
    expect(nobodyLooked({ ...line("late", null), per_minute: minutes, say: "3 strokes not looked at" })).toBe(false);
  });

  it("is never told as not seen", () => {
    const none = { ...unseen, code: "NEAR", marks: 0 };
    const part = { ...line("elbow", share(0, 9), null, 0), say: "3 strokes not looked at" };
    expect(unmarked([unseen, none, part, line("flat", share(0, 9), null, 0), line("big", null, null, 0)])).toEqual({
      notSeen: ["ELBOW", "FLAT", "BIG"],
      inPart: true,
      notLooked: ["NEAR"],
    });
    expect(unmarked([none, line("flat", share(0, 9), null, 0)])).toEqual({ notSeen: ["FLAT"], inPart: false, notLooked: ["NEAR"] });
  });

  it("has no rate in any chart, though it has marks", () => {
    const drill = group("drill", "regular", [unseen], "d");
    const all = sheet({ all: group("all", "free", [unseen]), methods: [group("method", "regular", [unseen])], drills: [drill] });
    expect(ratePoints(all)).toEqual([]);
    expect(grid(all).rows[0]?.cells).toEqual([{ drill, line: unseen, rate: null }]);
    expect(
      dayPoints(
        [
          {
            date: "2026-03-02",
            turns: 1,
            strokes: 9,
            good: 9,
            longest: 9,
            minutes: 0,
            faults: [{ fault_id: "late", per_stroke: null, per_minute: null }],
          },
        ],
        "late",
      ),
    ).toEqual([]);
  });
});

describe("a number opened", () => {
  const q: SummaryQuery = {
    players: ["a", "b"],
    drills: ["d"],
    methods: [],
    from: "2026-01-01",
    to: "",
    split: "",
    names: false,
    unconsented: false,
  };

  it("asks for exactly what it counts", () => {
    expect(narrowed(q, "")).toEqual(q);
    expect(narrowed(q, "a")).toEqual({ ...q, players: ["a"] });
    expect(narrowed(q, "a", { kind: "drill", method: "free", drill_id: "e" })).toEqual({ ...q, players: ["a"], drills: ["e"] });
    expect(narrowed(q, "a", { kind: "method", method: "irregular", drill_id: "" })).toEqual({
      ...q,
      players: ["a"],
      methods: ["irregular"],
    });
    expect(narrowed(q, "a", undefined, "2026-02-02")).toEqual({ ...q, players: ["a"], from: "2026-02-02", to: "2026-02-02" });
  });
});
