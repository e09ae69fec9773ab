import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { elbow, flush, roomOfThree, type Room } from "./pass.stub";

describe("Marks and strokes of a pass", () => {
  let room: Room;
  beforeEach(() => {
    room = roomOfThree();
  });
  afterEach(() => {
    room.pass.stop();
    vi.unstubAllGlobals();
  });

  it("toggles as often as the key is pressed, however slow the disk", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    room.writing.shut();
    await room.press("e", "e", "e");
    room.writing.open();
    await flush();
    expect(room.on).toEqual(["f1 s1"]);
    await room.press("e", "e");
    expect(room.on).toEqual(["f1 s1"]);
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
    await room.clock.go(0.5);
    room.opening.shut();
    await room.press("Enter");
    await flush();
    await room.press("e");
    room.opening.open();
    await room.clock.go(0.1);
    expect(room.on).toEqual(["f1 u2"]);
    expect(room.here).toBe("v1");
  });

  it("says why a mark was not kept, and shows it no more", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    const main = (window as unknown as { go: { main: { Pass: { Mark: () => Promise<never> } } } }).go.main;
    main.Pass.Mark = () => Promise.reject(new Error("problem: The disk is full."));
    await room.press("e");
    expect(room.app.message).toEqual({ text: "The disk is full.", wrong: true });
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(false);
  });

  it("shows a stroke as it was where its change was not kept", async () => {
    await room.start("t1");
    const main = (window as unknown as { go: { main: { Strokes: { Save: () => Promise<never> } } } }).go.main;
    main.Strokes.Save = () => Promise.reject(new Error("problem: The disk is full."));
    await room.press("-");
    expect(room.pass.stroke?.outcome).toBe("good");
    expect(room.app.message.wrong).toBe(true);
  });

  it("keeps both where side and outcome are set one right after the other, and every turn of the outcome", async () => {
    await room.start("t1");
    await room.clock.go(0.2);
    await room.press("ArrowDown"); // held: for what is shown
    room.writing.shut();
    await room.press("-", "Ctrl+b");
    room.writing.open();
    await flush();
    expect(room.saved.at(-1)).toEqual({ id: "s1", side: "backhand", outcome: "missed" });
    expect([room.pass.stroke?.side, room.pass.stroke?.outcome]).toEqual(["backhand", "missed"]);
    await room.press("-", "-");
    expect(room.saved.at(-1)).toEqual({ id: "s1", side: "backhand", outcome: "missed" });
  });

  it("knows what a later key has asked for while an earlier one is being written", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    room.writing.shut();
    await room.press("e", "e");
    const first = room.writing.open;
    room.writing.shut();
    first();
    await flush();
    expect(room.on).toEqual(["f1 s1"]); // the second waits for the disk
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(false);
    room.writing.open();
    await flush();
    expect(room.on).toEqual([]);
  });

  it("marks a stroke of another clip that a mark was taken off", async () => {
    await room.start("t2", "t3");
    await room.until("u2");
    await room.clock.go(0.9);
    await room.press("e", "e");
    await room.until("v1");
    await room.press("e");
    expect(room.on).toEqual(["f1 u2"]);
  });

  it("leaves another coach's mark alone", async () => {
    await room.start("t1");
    await room.clock.go(0.9);
    await room.press("e");
    room.marks[0]!.coach_id = "other";
    room.reload();
    expect(room.pass.has(room.pass.stroke!, elbow)).toBe(false);
    await room.press("e");
    expect(room.on).toEqual(["f1 s1", "f1 s1"]);
    await room.press("e");
    expect(room.marks.map((m) => m.coach_id)).toEqual(["other"]);
  });
});
