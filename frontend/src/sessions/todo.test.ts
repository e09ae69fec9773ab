import { afterEach, expect, it, vi } from "vitest";
import type { Fault, Player, ToDoAsked, ToDoList, ToDoRow } from "../api/domain";
import { App } from "../shared/app.svelte";
import { byDay, faults, inKinds, inShort, kinds, MOST, next, passFrom, players, ToDo } from "./todo.svelte";

afterEach(() => vi.unstubAllGlobals());

const row = (turn: string, more: Partial<ToDoRow> = {}): ToDoRow => ({
  date: "2026-03-14",
  clip_id: "c",
  clip_name: "c.mp4",
  turn_id: turn,
  player_id: "p",
  drill_id: "d",
  first: 10,
  last: 20,
  seconds: 0.4,
  strokes: 2,
  unlooked: true,
  missing: [],
  unsettled: false,
  mine: false,
  ...more,
});
const untouched = (clip: string): ToDoRow => row("", { clip_id: clip, unlooked: false });
const list = (rows: ToDoRow[]): ToDoList => ({
  rows,
  turns: rows.filter((r) => r.turn_id !== "").length,
  unlooked: rows.filter((r) => r.unlooked).length,
  partly: rows.filter((r) => r.missing.length > 0).length,
  unsettled: rows.filter((r) => r.unsettled).length,
  clips: rows.filter((r) => r.turn_id === "").length,
});

/** A program that has these things to do, which may be changed, and may wait. */
function program(rows: ToDoRow[]) {
  const has = {
    rows,
    answer: (asked: ToDoAsked) => Promise.resolve(list(has.rows.filter((r) => asked.player_id === "" || r.player_id === asked.player_id))),
  };
  const ToDo_ = vi.fn((asked: ToDoAsked) => has.answer(asked));
  vi.stubGlobal("window", { go: { main: { Sessions: { ToDo: ToDo_ } } } });
  const app = new App();
  const player: Player = { id: "p", name: "Ines Varga", hand: "right" };
  const fault: Fault = { id: "f", code: "LATE", label: "Late", phase: "recovery", sides: "both", weight: 1, key: "l" };
  app.catalogue = {
    coaches: [],
    players: [player, { ...player, id: "q", retired: true }],
    drills: [],
    faults: [fault, { ...fault, id: "g", retired: true }],
  };
  app.state = { ...app.state, dir: "/club", coach_id: "me" };
  const passes: [string[], string[]][] = [];
  app.startPass = (turns, focus) => passes.push([turns, focus]);
  return { has, asked: ToDo_, app, todo: new ToDo(app), passes };
}

it("says in short and by kind what is to do", () => {
  const all = list([row("a"), row("b", { unlooked: false, missing: ["LATE"] }), row("c", { unsettled: true }), untouched("k")]);
  expect(inShort(all)).toBe("To do: 3 turns, 1 clip");
  expect(inKinds(all)).toBe("2 not looked at · 1 looked through in part · 1 without strokes · 1 clip without turns");
  expect(inShort(list([row("a")]))).toBe("To do: 1 turn");
  expect(inShort(list([untouched("k"), untouched("l")]))).toBe("To do: 2 clips");
  expect([inShort(list([])), inKinds(list([]))]).toEqual(["Nothing to do", ""]);
});

it("says on each row all that is to do", () => {
  expect(kinds(row("a"))).toEqual(["not looked at"]);
  expect(kinds(row("a"), true)).toEqual(["not looked at by you"]);
  expect(kinds(row("a", { unsettled: true }))).toEqual(["not looked at", "no strokes yet"]);
  expect(kinds(row("a", { unlooked: false, missing: ["LATE", "ELBOW"] }))).toEqual(["not for LATE, ELBOW"]);
  const of = (n: number) => kinds(row("a", { unlooked: false, missing: ["A", "B", "C", "D", "E", "F", "G", "H"].slice(0, n) }));
  expect([of(6), of(8)]).toEqual([["not for A, B, C, D, E, F"], ["not for A, B, C, D, E and 3 more"]]);
  expect(kinds(untouched("k"))).toEqual(["no turn yet"]);
});

it("begins a pass at the chosen turn, without clips and without turns that have no strokes", () => {
  const rows = [row("a"), untouched("k"), row("b", { unsettled: true }), row("c", { unlooked: false, missing: ["LATE"] })];
  expect(passFrom(rows, 0)).toEqual(["a", "c"]);
  expect(passFrom(rows, 1)).toEqual(["c"]);
  expect(rows.map(next)).toEqual(["pass", "turns", "strokes", "pass"]);
});

it("goes to work on the chosen row: a pass, the turn's first frame, or the clip", async () => {
  const { todo, app, passes } = program([row("a"), row("b", { unsettled: true, first: 30 }), untouched("k"), row("c")]);
  await todo.load();
  await todo.start();
  expect(passes).toEqual([[["a", "c"], []]]);
  todo.walk(1);
  await todo.start();
  expect(app.place).toEqual({ clip: "c", frame: 30, entry: "b" });
  todo.walk(1);
  await todo.start();
  expect(app.place).toEqual({ clip: "k", frame: -1, entry: "" });
  todo.walk(9);
  // Enter is pressed before the restricted list is read.
  todo.only({ fault: "f" });
  await todo.start();
  expect(todo.at).toBe(0);
  expect(passes[1]).toEqual([["a", "c"], ["f"]]);
  expect(passes).toHaveLength(2);
});

it("keeps the chosen row while the list changes, and gives its place to the next when it is done", async () => {
  const { todo, has } = program([row("a"), row("b"), row("c")]);
  await todo.load();
  todo.walk(1);
  has.rows = [row("z"), row("a"), row("b"), row("c")];
  await todo.load();
  expect(todo.row?.turn_id).toBe("b");
  has.rows = [row("z"), row("a"), row("c")];
  await todo.load();
  expect(todo.row?.turn_id).toBe("c");
  has.rows = [row("z")];
  await todo.load();
  expect(todo.row?.turn_id).toBe("z");
  has.rows = [];
  await todo.load();
  expect([todo.row, todo.at]).toEqual([undefined, 0]);
  todo.walk(1);
  await todo.start();
  expect(todo.at).toBe(0);
});

it("asks for what is chosen, and for everything again once it is closed", async () => {
  const { todo, asked, app } = program([row("a"), row("b", { player_id: "q" })]);
  todo.toggle();
  todo.only({ player: "q", own: true });
  await todo.load();
  expect(asked).toHaveBeenLastCalledWith({ player_id: "q", fault_id: "", coach_id: "me", from: "", to: "", most: MOST });
  expect(todo.row?.turn_id).toBe("b");
  todo.toggle();
  await todo.load();
  expect(asked).toHaveBeenLastCalledWith({ player_id: "", fault_id: "", coach_id: "", from: "", to: "", most: MOST });
  todo.only({ player: "p", fault: "f" });
  await todo.load();
  app.catalogue = { ...app.catalogue, players: [], faults: [] }; // undone, or another library's
  await todo.load();
  expect([todo.player, todo.fault]).toEqual(["", ""]);
});

it("reads once more where something changes while it reads, and shows only the last", async () => {
  const { todo, has, asked } = program([row("a")]);
  const waiting: ((l: ToDoList) => void)[] = [];
  has.answer = () => new Promise((done) => waiting.push(done));
  const first = todo.load();
  const more = [todo.load(), todo.load()];
  waiting[0]?.(list([row("old")]));
  await vi.waitFor(() => expect(waiting).toHaveLength(2));
  expect(todo.list).toBeNull();
  waiting[1]?.(list([row("new")]));
  await Promise.all([first, ...more]);
  expect(asked).toHaveBeenCalledTimes(2);
  expect(todo.row?.turn_id).toBe("new");
});

it("says why it could not be read, and reads again", async () => {
  const { todo, has } = program([row("a")]);
  const answer = has.answer;
  has.answer = () => Promise.reject(new Error("busy: The library is busy."));
  await todo.load();
  expect([todo.trouble, todo.list]).toEqual(["The library is busy.", null]);
  has.answer = answer;
  await todo.load();
  expect([todo.trouble, todo.row?.turn_id]).toEqual(["", "a"]);
});

it("offers everybody first, and who has left only while chosen", () => {
  const { app } = program([]);
  expect(players(app.catalogue.players, "").map((p) => p.id)).toEqual(["", "p"]);
  expect(players(app.catalogue.players, "q").map((p) => p.id)).toEqual(["", "p", "q"]);
  expect(faults(app.catalogue.faults, "g").map((f) => f.id)).toEqual(["", "f", "g"]);
});

it("puts the rows of a day together, each with its place in the list", () => {
  const rows = [row("a"), row("b"), row("c", { date: "2026-03-15" })];
  expect(byDay(rows).map((day) => day.map((r) => [r.row.turn_id, r.at]))).toEqual([
    [
      ["a", 0],
      ["b", 1],
    ],
    [["c", 2]],
  ]);
  expect(byDay([])).toEqual([]);
});
