import { afterEach, expect, it, vi } from "vitest";
import type { Group, Player, Rung } from "../api/domain";
import { App } from "../shared/app.svelte";
import { SummaryState } from "./summary.svelte";

const group = { kind: "all", faults: [] };
const sheet = (id: string, name: string) => ({ player_id: id, name, all: group, methods: [], drills: [] });

afterEach(() => vi.unstubAllGlobals());

/** A program that knows Ada and Bo. */
function program(more: Record<string, unknown> = {}) {
  const players = [sheet("a", "Ada"), sheet("b", "Bo")];
  const lines = players.map((p) => ({ player_id: p.player_id, name: p.name }));
  const Summary = {
    Get: () => Promise.resolve({ team: sheet("", "Team"), players: lines }),
    Sheet: vi.fn((_: unknown, id: string) =>
      Promise.resolve({ team: sheet("", "Team"), players: players.filter((p) => p.player_id === id) }),
    ),
    Goals: () => Promise.resolve({ tries_cap: 5, irregular: 0.5 }),
    ...more,
  };
  const Library = { State: () => Promise.resolve({ dir: "/club" }) };
  vi.stubGlobal("window", { go: { main: { Summary, Library } } });
  return Summary;
}

it("writes a player's sheet without any other player", async () => {
  const Export = vi.fn(() => Promise.resolve("/out/page.html"));
  program({ Export });
  const summary = new SummaryState(new App());
  await summary.load();

  summary.look("b");
  await summary.export("html");
  expect(Export).toHaveBeenLastCalledWith(expect.objectContaining({ players: ["b"] }), "html");

  summary.look("");
  await summary.export("csv");
  expect(Export).toHaveBeenLastCalledWith(expect.objectContaining({ players: [] }), "csv");
});

it("reads one sheet in full, and drops the one that comes too late", async () => {
  const s = program();
  const summary = new SummaryState(new App());
  await summary.load();
  // The team needs it for its sessions only.
  expect(s.Sheet).not.toHaveBeenCalled();
  summary.showTab("time");
  await vi.waitFor(() => expect(s.Sheet).toHaveBeenLastCalledWith(expect.anything(), ""));

  type Answer = Awaited<ReturnType<typeof s.Sheet>>;
  let late: (answer: Answer) => void = () => {};
  s.Sheet.mockImplementationOnce(() => new Promise<Answer>((done) => (late = done)));
  summary.look("a");
  summary.look("b");
  await vi.waitFor(() => expect(summary.full?.players[0]?.name).toBe("Bo"));
  late({ team: sheet("", "Team"), players: [sheet("a", "Ada")] });
  await Promise.resolve();
  expect(summary.sheet?.name).toBe("Bo");
});

it("opens a number with the marks of who is looked at", async () => {
  const Behind = vi.fn(() => Promise.resolve(["m1", "m2"]));
  const Marks = vi.fn((ids: string[]) => Promise.resolve(ids.map((id) => ({ id }))));
  program({ Behind, Marks });
  const summary = new SummaryState(new App());
  await summary.load();
  summary.look("a");
  await summary.open({ fault: { fault_id: "f", code: "LATE", label: "Late" }, day: "2026-03-02" });
  expect(Behind).toHaveBeenCalledWith(expect.objectContaining({ players: ["a"], from: "2026-03-02", to: "2026-03-02" }), {
    fault_id: "f",
    phase: "",
    side: "",
  });
  expect(summary.opened?.title).toBe("LATE Late, 2026-03-02, Ada");
  expect(summary.opened?.rows.map((r) => r.id)).toEqual(["m1", "m2"]);
});

it("says why it cannot count, and that marks could not be read, in place of waiting for ever", async () => {
  const fail = () => Promise.reject(new Error("problem: The drive does not answer."));
  const s = program({ Behind: fail, Marks: fail });
  const summary = new SummaryState(new App());
  await summary.load();
  s.Sheet.mockImplementationOnce(fail);
  summary.look("a");
  await vi.waitFor(() => expect(summary.trouble).toBe("The drive does not answer."));
  await summary.load();
  expect([summary.trouble, summary.sheet?.name]).toEqual(["", "Ada"]);
  await summary.open({ fault: { fault_id: "f", code: "LATE", label: "Late" } });
  expect(summary.opened).toMatchObject({ ids: null, loading: false });
});

it("lets more marks be asked for again where a page of them could not be read", async () => {
  const Marks = vi.fn((ids: string[]) => Promise.resolve(ids.map((id) => ({ id }))));
  program({ Behind: () => Promise.resolve(["m1", "m2"]), Marks });
  Marks.mockImplementationOnce(() => Promise.reject(new Error("problem: The drive does not answer.")));
  const summary = new SummaryState(new App());
  await summary.load();
  await summary.open({ fault: { fault_id: "f", code: "LATE", label: "Late" } });
  expect(summary.opened).toMatchObject({ ids: ["m1", "m2"], rows: [], loading: false });
  await summary.more();
  expect(summary.opened?.rows).toHaveLength(2);
});

it("keeps the club's goals on the screen where the program refuses them", async () => {
  program({ SetGoals: () => Promise.reject(new Error("problem: The drive is full.")) });
  const summary = new SummaryState(new App());
  let said = "";
  expect(await summary.saveGoals({ tries_cap: 3, irregular: 0.5 }, (sentence) => (said = sentence))).toBe(false);
  expect(said).toBe("The drive is full.");
});

it("keeps a ruling's reason on the screen where the program refuses it", async () => {
  program({ SaveRuling: () => Promise.reject(new Error("problem/reason: Say why: a ruling on the ladder needs its reason.")) });
  const summary = new SummaryState(new App());
  await summary.load();
  summary.look("a");
  let said = "";
  const kept = await summary.rule({ drill_id: "d", name: "Forehand" } as Rung, true, "", (sentence) => (said = sentence));
  expect(kept).toBe(false);
  expect(said).toBe("Say why: a ruling on the ladder needs its reason.");
});

it("says how many clips are ready while it waits for them, and no more once it has counted", async () => {
  const s = program({ Get: () => new Promise(() => {}) });
  const heard: Record<string, (p: unknown) => void> = {};
  vi.stubGlobal("window", {
    go: window.go,
    runtime: { EventsOn: (name: string, f: (p: unknown) => void) => ((heard[name] = f), () => {}) },
  });
  const app = new App();
  const summary = new SummaryState(app);
  summary.listen();
  void summary.load();
  heard["progress"]?.({ job: "summary", done: 3400, total: 10_000, label: "clips" });
  expect(summary.waiting).toEqual(expect.objectContaining({ done: 3400, total: 10_000 }));
  heard["progress"]?.({ job: "summary", done: 10_000, total: 10_000, label: "clips" });
  expect(summary.waiting).toBeNull();

  // The one that is given up ends with an error, which is nobody's business.
  let giveUp: (cause: Error) => void = () => {};
  s.Get = () => new Promise((_, fail) => (giveUp = fail));
  void summary.load();
  s.Get = () => Promise.resolve({ team: sheet("", "Team"), players: [] });
  heard["progress"]?.({ job: "summary", done: 1, total: 2, label: "clips" });
  const last = summary.load();
  giveUp(new Error("failed: Stopped."));
  await last;
  expect(summary.result?.team.name).toBe("Team");
  expect([summary.trouble, app.message.text, summary.waiting]).toEqual(["", "", null]);
});

it("opens the marks of a phase, and of each side of a comparison by itself", async () => {
  const Behind = vi.fn(() => Promise.resolve([]));
  program({ Behind, Marks: () => Promise.resolve([]) });
  const summary = new SummaryState(new App());
  await summary.load();
  await summary.open({ phase: "recovery" });
  expect(Behind).toHaveBeenLastCalledWith(expect.anything(), { fault_id: "", phase: "recovery", side: "" });
  expect(summary.opened?.title).toBe("Faults of the phase recovery, Team");
  const sides = {
    kind: "side",
    first: "forehand",
    second: "backhand",
    fault_id: "f",
    code: "LATE",
    label: "Late",
    strokes: null,
    minutes: null,
    test: null,
    say: "",
  } as const;
  await summary.openPart(sides, "first");
  expect(Behind).toHaveBeenLastCalledWith(expect.anything(), { fault_id: "f", phase: "", side: "forehand" });
  await summary.openPart(sides, "second");
  expect(Behind).toHaveBeenLastCalledWith(expect.anything(), { fault_id: "f", phase: "", side: "backhand" });
  expect(summary.opened?.title).toBe("LATE Late, backhand, Team");
});

it("opens the rest of the club whole, whoever is chosen", async () => {
  const Behind = vi.fn(() => Promise.resolve([]));
  program({ Behind, Marks: () => Promise.resolve([]), Versus: () => Promise.resolve({ comparisons: [] }) });
  const app = new App();
  const player = (id: string, name: string) => ({ id, name, hand: "right" }) as Player;
  app.catalogue = {
    coaches: [],
    drills: [],
    faults: [],
    players: [player("a", "Ada"), player("b", "Bo"), { ...player("c", "Cleo"), retired: true }],
  };
  const summary = new SummaryState(app);
  summary.ask({ players: ["a", "b"] });
  await summary.load();
  summary.look("a");
  await summary.against("");
  const club = {
    kind: "player",
    first: "Ada",
    second: "The rest of the club",
    fault_id: "f",
    code: "LATE",
    label: "Late",
    strokes: null,
    minutes: null,
    test: null,
    say: "",
  } as const;
  await summary.openPart(club, "second");
  expect(Behind).toHaveBeenLastCalledWith(expect.objectContaining({ players: ["b", "c"] }), expect.anything());
});

it("opens the turns that were not looked through, in their order", async () => {
  const turns = ["t2", "t1"].map((turn_id) => ({ turn_id, clip_id: "c", frame: 5 }));
  const Unlooked = vi.fn(() => Promise.resolve({ total: 812, turns }));
  program({ Unlooked });
  const summary = new SummaryState(new App());
  await summary.load();
  await summary.openUnlooked();
  expect(Unlooked).toHaveBeenLastCalledWith(expect.objectContaining({ players: [] }), "");
  expect(summary.unlooked).toMatchObject({ title: "Not looked through, Team", total: 812, loading: false });
  expect(summary.unlookedIds).toEqual(["t2", "t1"]);

  summary.look("a");
  const drill = { kind: "drill", drill_id: "d", name: "Forehand" } as Group;
  await summary.openUnlooked({ fault_id: "f", code: "LATE", label: "Late" }, drill);
  expect(Unlooked).toHaveBeenLastCalledWith(expect.objectContaining({ players: ["a"], drills: ["d"] }), "f");
  expect(summary.unlooked?.title).toBe("Not looked through for LATE Late, Forehand, Ada");
  summary.unlooked = null;
  expect(summary.unlookedIds).toEqual([]);
});

it("says that the turns could not be read, and shows nothing of a list that was closed meanwhile", async () => {
  const Unlooked = vi.fn(() => Promise.reject<{ total: number; turns: [] }>(new Error("problem: The drive does not answer.")));
  program({ Unlooked });
  const summary = new SummaryState(new App());
  await summary.load();
  await summary.openUnlooked();
  expect(summary.unlooked).toMatchObject({ total: null, loading: false });

  let answer: (list: { total: number; turns: [] }) => void = () => {};
  Unlooked.mockImplementationOnce(() => new Promise((done) => (answer = done)));
  const reading = summary.openUnlooked();
  summary.unlooked = null;
  answer({ total: 3, turns: [] });
  await reading;
  expect(summary.unlooked).toBeNull();
});
