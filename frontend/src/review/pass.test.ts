import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { PassSettings } from "../api/domain";
import { elbow, late, close, stroke, turnOf, flush, roomOfThree, Room } from "./pass.stub";

describe("Pass", () => {
  let room: Room;
  beforeEach(() => {
    room = roomOfThree();
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
    expect(room.app.message.text).toBe("The pass is done: it went over 3 turns. The last: 2 strokes, 0 marks, streak 2.");
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

  it.each([0.01, 0.1, 0.3])("takes a key %f s after a stroke begins for the one before", async (wait) => {
    await room.start("t1");
    await room.until("s2");
    await room.clock.go(wait);
    await room.press("e");
    expect(room.on).toEqual(["f1 s1"]);
    await room.press("e");
    expect(room.on).toEqual([]);
  });

  it.each([-0.2, 0.1, 0.29])(
    "goes by when a key was pressed, %f s after a stroke begins, where a busy page hears of it later",
    async (after) => {
      await room.start("t1");
      await room.until("s2");
      const shown = room.clock.t;
      await room.clock.go(0.7);
      await room.heard(shown + after, "e");
      expect(room.on).toEqual(["f1 s1"]);
    },
  );

  it("goes by when a key was pressed also where the stroke has been shown once by now", async () => {
    await room.start("t1");
    await room.until("s2");
    const shown = room.clock.t;
    await room.clock.go(1.05);
    await room.heard(shown + 0.85, "l"); // sooner than anybody sees this fault on s2
    expect(room.on).toEqual(["f2 s1"]);
  });

  it("leaves no turn out by a key that was pressed for the turn before", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("u1");
    await room.clock.go(0.1);
    await room.press("Delete");
    expect(room.pass.turn?.turn_id).toBe("t2");
    await room.clock.go(0.4);
    await room.press("Delete");
    expect(room.pass.turn?.turn_id).toBe("t3");
  });

  it("takes a key as late as they come for its own stroke, whatever the phase", async () => {
    for (const [f, frame] of [
      [elbow, 102],
      [late, 130],
      [close, 100],
    ] as const) {
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

  it.each(["Enter", "ArrowRight", "ArrowLeft", "ArrowUp", "ArrowDown", "Space", "Delete", "Ctrl+ArrowDown"])(
    "goes to the next turn although %s is pressed while its clip is being opened",
    async (key) => {
      room.put(turnOf("t4", "d", stroke("w1", 240)));
      await room.start("t2", "t3", "t4");
      await room.until("u2");
      await room.clock.go(0.5);
      room.opening.shut();
      await room.press("Enter");
      await room.press(key);
      room.opening.open();
      await room.clock.go(0.1);
      expect(room.here).toBe("v1");
      expect(room.pass.held).toBe(false);
    },
  );

  it("does not go over a turn at a double Enter", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("s3");
    await room.clock.go(0.5);
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
    await room.clock.go(0.5);
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
    await flush();
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

  it("waits for a key, or shows a stroke so many times, where that is set", async () => {
    room.settings = { ...room.settings, run_on: false };
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
    room.settings = { ...room.settings, run_on: true, loops: 3 };
    await room.start("t2");
    await room.clock.go(30);
    expect(room.shown).toEqual(["u1", "u1", "u1", "u2", "u2", "u2"]);
  });

  it("looks for the focus only, and says so of the turn", async () => {
    void room.pass.start(["t2"], [late.id]);
    await flush();
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
    await room.clock.go(0.4); // sooner nobody has seen the turn
    await room.press("Delete");
    await room.clock.go(5);
    expect(room.looks).toEqual([]);
    expect(room.pass.active).toBe(false);
  });

  it("does not count a turn for faults that were taken into the focus when it was shown in part", async () => {
    room.pass.settings = room.settings;
    void room.pass.start(["t1"], [late.id]);
    await flush();
    await room.until("s3");
    await room.pass.choose({ focus: [] });
    expect(room.here).toBe("s1");
    room.pass.goTo("s3");
    await room.clock.go(20);
    expect(room.looks).toEqual([]);
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
    const set = vi.spyOn(
      (window as unknown as { go: { main: { Pass: { SetSettings: (w: PassSettings) => Promise<void> } } } }).go.main.Pass,
      "SetSettings",
    );
    void room.pass.start(["t1"], [late.id]);
    await flush();
    await room.press("Ctrl+ArrowDown");
    expect(set).toHaveBeenCalledWith({ ...room.settings, rate: 0.5 });
    expect(room.pass.faults).toEqual([late]);
    await room.pass.choose({ focus: [elbow.id] });
    expect(set).toHaveBeenLastCalledWith({ ...room.settings, rate: 0.5, focus: [elbow.id] });
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
    expect(room.app.message).toEqual({ text: "This film is not in its place.", wrong: true });
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

  it("takes Enter for the stroke before where nobody can have seen the one that has just come by itself", async () => {
    room.put({ ...turnOf("t4", "c"), heard: 2 });
    await room.start("t1", "t4");
    await room.until("s2");
    await room.clock.go(0.2);
    await room.press("Enter");
    expect(room.here).toBe("s2");
    await room.until("t4");
    await room.clock.go(0.2);
    await room.press("Enter");
    expect(room.pass.question).toBe("take over");
    await room.clock.go(0.2);
    await room.press("Enter");
    await room.clock.go(0.1);
    expect(room.here).toBe("h1");
    expect(room.looks.map((l) => l.turn)).toEqual(["t1"]);
  });

  it("does not count strokes that Enter went over before anybody could see them", async () => {
    room.put({ ...turnOf("t4", "c"), first: 400, last: 500 });
    await room.start("t1", "t2", "t4");
    await room.press("Enter", "Enter", "Enter");
    expect(room.here).toBe("u1");
    expect(room.app.message.text).toBe("Not counted as looked through: 3 strokes, 0 marks, streak 3; 0 of them shown.");
    for (const id of ["u1", "u2"]) {
      expect(room.here).toBe(id);
      await room.clock.go(0.5);
      await room.press("Enter");
    }
    expect(room.looks.map((l) => l.turn)).toEqual(["t2"]);
    await room.press("Enter");
    await room.clock.go(0.1);
    expect(room.looks.map((l) => l.turn)).toEqual(["t2"]);
  });

  it("allows for slow motion: nobody sees a contact before it is shown", async () => {
    room.settings = { ...room.settings, rate: 0.25 };
    await room.start("t1");
    await room.until("s2");
    await room.clock.go(1); // the contact is shown after 1.6 s
    await room.press("e");
    await room.clock.go(1);
    await room.press("e");
    expect(room.on).toEqual(["f1 s1", "f1 s2"]);
    await room.press("Escape");
    expect(room.bench.viewer?.rate).toBe(1);
  });

  it("takes a key for a stroke that shows itself again, however early", async () => {
    room.settings = { ...room.settings, run_on: false };
    await room.start("t1");
    await room.clock.go(0.5);
    await room.press("Enter");
    await room.clock.go(1.1);
    await room.press("e");
    expect(room.on).toEqual(["f1 s2"]);
  });

  it("goes back over a turn that was removed meanwhile", async () => {
    await room.start("t1", "t2", "t3");
    await room.until("v1");
    room.turns.delete("t2");
    await room.press("ArrowLeft");
    await room.clock.go(0.1);
    expect(room.here).toBe("s3");
  });
});
