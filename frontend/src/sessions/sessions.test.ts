import { afterEach, describe, expect, it, vi } from "vitest";
import type { AbsentClip, ListedClip, SessionPage, SessionRow, SessionsAsked } from "../api/domain";
import { App } from "../shared/app.svelte";
import { dayBefore, today } from "../shared/days";
import { PAGE, SessionsState } from "./sessions.svelte";

afterEach(() => vi.unstubAllGlobals());

const clip = (id: string): ListedClip => ({
  id,
  session_id: "",
  fingerprint: "",
  bytes: 0,
  first_ticks: 0,
  base: { num: 1, den: 25 },
  name: `${id}.mp4`,
  path: `/films/${id.slice(0, 1)}/${id}.mp4`,
  seconds: 1,
  frames: 50,
  width: 64,
  height: 36,
  turns: 0,
  strokes: 0,
  marks: 0,
  unlooked: 0,
  players: [],
});

/** So many sessions, one a day before 14 March 2026, each with a clip: a0, b1, c2, a3 and so on in folders a, b and c. */
function evenings(n: number): SessionRow[] {
  let date = "2026-03-14";
  return Array.from({ length: n }, (_, i) => {
    const row = { id: `s${i}`, date, clips: [clip(`${"abc".charAt(i % 3)}${i}`)], removed: 0 };
    date = dayBefore(date);
    return row;
  });
}

/** A program that has those sessions. */
function program(all: SessionRow[], absent: (ids: string[]) => Promise<AbsentClip[]> = () => Promise.resolve([])) {
  const page = (asked: SessionsAsked): SessionPage => {
    const latest = all.slice(0, asked.count);
    const with_ = asked.clip === "" ? undefined : all.find((s) => s.clips.some((c) => c.id === asked.clip));
    const up_to = asked.clip === "" ? asked.up_to : with_ && !latest.includes(with_) ? with_.date : "";
    const upTo = all.filter((s) => up_to === "" || s.date <= up_to);
    const sessions = upTo.slice(0, asked.count);
    return { sessions, looked: [], up_to, earlier: upTo.length - sessions.length, total: all.length, first: all.at(-1)?.date ?? "" };
  };
  const Sessions = { List: vi.fn((asked: SessionsAsked) => Promise.resolve(page(asked))), Absent: vi.fn(absent) };
  vi.stubGlobal("window", { go: { main: { Sessions } } });
  const app = new App();
  app.state = { ...app.state, dir: "/club" };
  return { Sessions, app, sessions: new SessionsState(app), page };
}

const shown = (s: SessionsState) => s.rows.map((r) => r.id);
const ids = (from: number, to: number) => Array.from({ length: to - from }, (_, i) => `s${from + i}`);

it("reads a page, then earlier ones, and as many again after a change", async () => {
  const all = evenings(50);
  const { Sessions, sessions } = program(all);
  await sessions.load();
  expect(shown(sessions)).toEqual(ids(0, PAGE));
  expect([sessions.many, sessions.total, sessions.earlier, sessions.latest]).toEqual([true, 50, 30, all.slice(0, 4).map((s) => s.date)]);
  await sessions.more();
  expect(shown(sessions)).toEqual(ids(0, 40));
  await sessions.load();
  expect(Sessions.List).toHaveBeenLastCalledWith({ up_to: "", count: 40, clip: "" });
  expect(shown(sessions)).toEqual(ids(0, 40));
  await sessions.more();
  expect([shown(sessions), sessions.earlier]).toEqual([ids(0, 50), 0]);
  const asked = Sessions.List.mock.calls.length;
  await sessions.more();
  expect(Sessions.List.mock.calls.length).toBe(asked);
});

it("knows one page as one page", async () => {
  const { sessions } = program(evenings(PAGE));
  await sessions.load();
  expect([sessions.many, sessions.earlier]).toEqual([false, 0]);
});

it("never asks for the same page twice at once, nor shows a session twice", async () => {
  const all = evenings(50);
  const { Sessions, sessions } = program(all);
  await sessions.load();
  await Promise.all([sessions.more(), sessions.more()]);
  expect(Sessions.List).toHaveBeenCalledTimes(2);
  // One that was moved to an earlier day meanwhile comes once more.
  const [moved] = all.splice(3, 1);
  if (moved) all.splice(45, 0, { ...moved, date: all[44]?.date ?? "" });
  await sessions.more();
  expect(shown(sessions).filter((id) => id === "s3")).toEqual(["s3"]);
});

it("jumps to a day and back, and goes on from there", async () => {
  const all = evenings(70);
  const { sessions } = program(all);
  await sessions.load();
  await sessions.jump(all[30]?.date ?? "");
  expect([shown(sessions), sessions.upTo, sessions.earlier]).toEqual([ids(30, 50), all[30]?.date, 20]);
  expect(sessions.latest[0]).toBe("2026-03-14");
  await sessions.more();
  await sessions.load();
  expect(shown(sessions)).toEqual(ids(30, 70));
  await sessions.jump("2020-01-01");
  expect([shown(sessions), sessions.total, sessions.first]).toEqual([[], 70, all[69]?.date]);
  await sessions.jump("");
  expect([shown(sessions), sessions.upTo]).toEqual([ids(0, PAGE), ""]);
});

it("shows the last day asked for, whichever answer comes last", async () => {
  const all = evenings(60);
  const { Sessions, sessions, page } = program(all);
  await sessions.load();
  let late = () => {};
  Sessions.List.mockImplementationOnce((asked) => new Promise((done) => (late = () => done(page(asked)))));
  const first = sessions.jump(all[10]?.date ?? "");
  await sessions.jump(all[20]?.date ?? "");
  late();
  await first;
  expect(shown(sessions)[0]).toBe("s20");
  // Nor do earlier ones of what is no longer shown come after it.
  Sessions.List.mockImplementationOnce((asked) => new Promise((done) => (late = () => done(page(asked)))));
  const more = sessions.more();
  await sessions.jump("");
  late();
  await more;
  expect(shown(sessions)).toEqual(ids(0, PAGE));
  // Nor where they are asked for while the jump is under way.
  Sessions.List.mockImplementationOnce((asked) => new Promise((done) => setTimeout(() => done(page(asked)), 1)));
  const jump = sessions.jump(all[45]?.date ?? "");
  Sessions.List.mockImplementationOnce((asked) => new Promise((done) => (late = () => done(page(asked)))));
  const other = sessions.more();
  await jump;
  late();
  await other;
  expect(shown(sessions)).toEqual(ids(45, 60));
});

it("goes to a clip that is not shown, and stays where it is shown", async () => {
  const all = evenings(60);
  const { sessions } = program(all);
  await sessions.load();
  await sessions.load("b1");
  expect([shown(sessions), sessions.upTo]).toEqual([ids(0, PAGE), ""]);
  await sessions.load(all[40]?.clips[0]?.id);
  expect([shown(sessions)[0], sessions.upTo]).toEqual(["s40", all[40]?.date]);
  await sessions.load("a0");
  expect(shown(sessions)).toEqual(ids(0, PAGE));
  await sessions.load("none");
  expect(shown(sessions)).toEqual(ids(0, PAGE));
});

it("brings the clip of the bench once, and stays where the coach goes after that", async () => {
  const all = evenings(60);
  const { sessions } = program(all);
  const old = all[40]?.clips[0]?.id ?? "";
  await sessions.enter("");
  await sessions.enter(old);
  expect(sessions.upTo).toBe(all[40]?.date);
  await sessions.jump("");
  await sessions.enter(old);
  expect(shown(sessions)).toEqual(ids(0, PAGE));
});

it("keeps what it has where earlier ones cannot be read, and says why", async () => {
  const { Sessions, sessions, app } = program(evenings(50));
  await sessions.load();
  Sessions.List.mockRejectedValueOnce(new Error("problem: The drive does not answer."));
  await sessions.more();
  expect([shown(sessions), app.message.text]).toEqual([ids(0, PAGE), "The drive does not answer."]);
  await sessions.more();
  expect(shown(sessions)).toEqual(ids(0, 40));
});

it("leaves nothing of one library in another", async () => {
  const { Sessions, sessions, app } = program(evenings(50));
  await sessions.load();
  await sessions.jump("2026-03-01");
  app.state = { ...app.state, dir: "/other" };
  Sessions.List.mockImplementationOnce(() => new Promise(() => {}));
  void sessions.load();
  expect([shown(sessions), sessions.loaded, sessions.upTo]).toEqual([[], false, ""]);
});

it("shows the list while a drive hangs, and each folder as soon as it is known", async () => {
  let answer = () => {};
  const { Sessions, sessions, app } = program(evenings(6), (asked) => {
    if (asked.includes("a0")) return new Promise((done) => (answer = () => done(asked.map((clip_id) => ({ clip_id, slow: true })))));
    return Promise.resolve(asked.includes("b1") ? [{ clip_id: "b1", slow: false }] : []);
  });
  await sessions.enter("");
  expect(shown(sessions)).toEqual(ids(0, 6));
  const where = () => sessions.clips.map((c) => sessions.files.of(c));
  await vi.waitFor(() => expect(where()).toEqual([null, "gone", "here", null, "here", "here"]));
  // A folder that is being asked is not asked again meanwhile; others are by who comes back.
  expect(Sessions.Absent.mock.calls.filter(([asked]) => asked.includes("a0"))).toHaveLength(1);
  await sessions.enter("");
  expect(Sessions.Absent.mock.calls.filter(([asked]) => asked.includes("a0"))).toHaveLength(1);
  answer();
  await vi.waitFor(() => expect(where()).toEqual(["slow", "gone", "here", "slow", "here", "here"]));

  // Reading the list anew asks for nothing that is known.
  const calls = Sessions.Absent.mock.calls.length;
  await sessions.load();
  expect(Sessions.Absent.mock.calls.length).toBe(calls);
  Sessions.Absent.mockImplementation(() => Promise.resolve([]));
  const a0 = sessions.clips[0];
  if (a0) await sessions.lookAgain(a0);
  expect(where()).toEqual(["here", "gone", "here", "here", "here", "here"]);
  expect(app.message).toEqual({ text: "a0.mp4 is there.", wrong: false });
});

it("asks a drive that does not answer again until it does", async () => {
  vi.useFakeTimers();
  const slow = (asked: string[]) => Promise.resolve(asked.map((clip_id) => ({ clip_id, slow: true })));
  const { Sessions, sessions } = program(evenings(1), slow);
  await sessions.enter("");
  const where = () => sessions.clips.map((c) => sessions.files.of(c));
  await vi.advanceTimersByTimeAsync(25_000);
  expect(where().every((w) => w === "slow")).toBe(true);
  Sessions.Absent.mockImplementation(() => Promise.resolve([]));
  await vi.advanceTimersByTimeAsync(10_000);
  expect(where().every((w) => w === "here")).toBe(true);
  const calls = Sessions.Absent.mock.calls.length;
  await vi.advanceTimersByTimeAsync(60_000);
  expect(Sessions.Absent.mock.calls.length).toBe(calls);
  vi.useRealTimers();
});

it("opens a clip that was found where the library cannot keep the place", async () => {
  for (const read_only of [true, false]) {
    const { Sessions, app, sessions } = program(evenings(3));
    Object.assign(window, {
      go: {
        main: {
          Sessions: { ...Sessions, Relink: () => Promise.resolve({ clip: { ...clip("a0"), missing: false }, alike: null }) },
          Library: { State: () => Promise.resolve({ ...app.state, read_only }) },
        },
      },
    });
    app.state = { ...app.state, read_only };
    await sessions.relink(clip("a0"));
    expect([app.screen, app.place?.clip]).toEqual(read_only ? ["review", "a0"] : ["sessions", undefined]);
  }
});

describe("the day of clips that are added", () => {
  const DAYS: Record<string, string> = { a: "2026-03-12", b: "2026-03-12", c: "2026-03-10", silent: "" };
  function adding() {
    const { sessions, Sessions } = program([]);
    const RecordedOn = vi.fn((paths: string[]) => Promise.resolve(paths.map((p) => DAYS[p] ?? "")));
    const Add = vi.fn((_: string, paths: string[]) => Promise.resolve(paths.map((path) => ({ path, name: path, clip_id: path, say: "" }))));
    Object.assign(window, { go: { main: { Sessions: { ...Sessions, RecordedOn, Add }, Library: { State: () => Promise.resolve({}) } } } });
    sessions.begin();
    const asked = () => vi.waitFor(() => expect(sessions.adding?.asking).toBe(0));
    return { sessions, RecordedOn, Add, asked };
  }

  it("is that of most films, each asked about once, else the earliest, else today", async () => {
    const { sessions, RecordedOn, asked } = adding();
    expect(sessions.day).toBe(today());
    sessions.drop(["silent"]);
    await asked();
    expect([sessions.day, sessions.suggested.say]).toEqual([today(), ""]);
    sessions.drop(["c", "silent"]);
    await asked();
    expect([sessions.day, sessions.suggested.say]).toEqual([
      "2026-03-10",
      "The day on which 1 of the 2 films was recorded, by the camera’s clock; the others do not say.",
    ]);
    sessions.leaveOut("silent");
    expect(sessions.suggested.say).toBe("The day on which the film was recorded, by the camera’s clock.");
    sessions.drop(["a"]);
    await asked();
    expect([sessions.day, sessions.suggested.say]).toEqual([
      "2026-03-10",
      "The films were recorded on 2 different days, by the camera’s clock: this is the earliest of them.",
    ]);
    sessions.drop(["b", "c"]);
    await asked();
    expect([sessions.day, sessions.suggested.say]).toEqual([
      "2026-03-12",
      "The films were recorded on 2 different days, by the camera’s clock: this is the day of most of them.",
    ]);
    sessions.leaveOut("c");
    expect(sessions.suggested.say).toBe("The day on which the films were recorded, by the camera’s clock.");
    sessions.drop(["c"]);
    expect(RecordedOn.mock.calls).toEqual([[["silent"]], [["c"]], [["a"]], [["b"]]]);
    ["a", "b", "c"].forEach((p) => sessions.leaveOut(p));
    expect(sessions.day).toBe(today());
  });

  it("is the coach's own once it is written, and stays for those that are added next", async () => {
    const { sessions, RecordedOn, Add, asked } = adding();
    sessions.drop(["a"]);
    await sessions.add();
    expect(Add).not.toHaveBeenCalled(); // the day is still to come
    await asked();
    if (sessions.adding) sessions.adding.written = "2026-03-01";
    sessions.drop(["c"]);
    await asked();
    expect(sessions.day).toBe("2026-03-01");
    await sessions.add();
    expect(Add).toHaveBeenCalledWith("2026-03-01", ["a", "c"]);
    sessions.begin();
    expect(sessions.day).toBe("2026-03-01");
    sessions.adding = null;

    sessions.begin();
    sessions.drop(["a"]);
    await asked();
    await sessions.add();
    sessions.begin();
    RecordedOn.mockRejectedValueOnce(new Error("problem: The library is closed."));
    sessions.drop(["b"]);
    await asked();
    expect([sessions.day, sessions.suggested.day]).toEqual(["2026-03-12", ""]);
  });
});
