import { beforeEach, expect, it, vi } from "vitest";
import type { SelfTest, TestedStroke } from "../api/domain";
import { App } from "../shared/app.svelte";
import { TrialsState } from "./trials.svelte";

const stroke = (id: string): TestedStroke => ({
  clip_id: "c",
  stroke_id: id,
  from: 0,
  to: 9,
  picture: 0.02,
  gone: false,
  said: [],
  given: false,
  right: [],
});
let test: SelfTest;
let t: TrialsState;

beforeEach(async () => {
  test = {
    id: "t",
    coach_id: "k",
    made: "",
    is_open: true,
    is_mine: true,
    seed: 1,
    strokes: ["a", "b", "c"].map(stroke),
    given: 0,
    result: null,
  };
  const Answer = (id: string, said: string[]) => {
    test = { ...test, given: test.given + 1, strokes: test.strokes.map((s) => (s.stroke_id === id ? { ...s, said, given: true } : s)) };
    return Promise.resolve(null);
  };
  vi.stubGlobal("window", {
    go: {
      main: { Agreement: { Tests: () => Promise.resolve([test]), AnswerTest: Answer }, Library: { State: () => Promise.resolve({}) } },
    },
  });
  t = new TrialsState(new App());
  await t.load();
});

it("keeps what is said of a stroke and goes on to the next that is not answered", async () => {
  t.walk(1);
  t.toggle("late");
  t.toggle("elbow");
  t.toggle("late");
  await t.answer();
  expect(test.strokes[1]).toMatchObject({ said: ["elbow"], given: true });
  expect(t.at).toBe(2);
  await t.answer();
  expect(t.at).toBe(0);
  expect(t.left).toBe(1);
  t.at = 1;
  expect(t.said).toEqual(["elbow"]);
});

it("says nothing of one stroke on another", () => {
  t.toggle("late");
  t.walk(1);
  expect(t.said).toEqual([]);
});
