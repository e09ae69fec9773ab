import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { flush } from "./clip.stub";
import { Viewer } from "./viewer.svelte";
import { stubBox, stubImages } from "./images.stub";

const FRAMES = 40;

describe("Viewer", () => {
  let viewer: Viewer;
  let asked: string[];
  let now: number;
  let frames: FrameRequestCallback[];

  beforeEach(async () => {
    asked = [];
    frames = [];
    now = 1000;
    vi.spyOn(performance, "now").mockImplementation(() => now);
    vi.stubGlobal("requestAnimationFrame", (f: FrameRequestCallback) => frames.push(f));
    vi.stubGlobal("cancelAnimationFrame", () => (frames = []));
    stubImages((address) => {
      asked.push(address);
      return Promise.resolve();
    });
    vi.stubGlobal("fetch", (address: string) => {
      asked.push(address);
      if (address.endsWith("/times")) return Promise.resolve(new Response(Float64Array.from({ length: FRAMES }, (_, i) => i / 25).buffer));
      return Promise.resolve(new Response());
    });
    const clip = {
      id: "c",
      session_id: "s",
      fingerprint: "",
      bytes: 0,
      first_ticks: 0,
      base: { num: 1, den: 25 },
      name: "c",
      path: "",
      seconds: FRAMES / 25,
      frames: FRAMES,
      width: 64,
      height: 36,
      missing: false,
      turns: 0,
      strokes: 0,
      marks: 0,
      unlooked: 0,
      players: [],
    };
    viewer = new Viewer(
      {
        clip,
        width: 64,
        height: 36,
        frames: FRAMES,
        complete: true,
        base: { num: 1, den: 25 },
        sound: false,
        notices: [],
        cameras: { main_id: "", main_name: "", views: [], own: false },
        interlaced: true,
        slowness: 1,
        seconds: FRAMES / 25,
        adjusted: { id: "", clip_id: "", rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 },
        videos: [],
        sounds: [],
      },
      () => {},
    );
    await viewer.readTimes();
    viewer.attach(stubBox());
    viewer.goTo(10);
    await flush();
  });

  it("asks for a clip as it is shown from its first picture on", async () => {
    asked = [];
    const rotated = new Viewer({ ...viewer.clip, adjusted: { ...viewer.clip.adjusted, id: "c", rotation: 3, gamma: 20 } }, () => {});
    await rotated.readTimes();
    rotated.attach(stubBox());
    await flush();
    expect(rotated.framing.size).toEqual({ width: 36, height: 64 });
    const pictures = asked.filter((a) => a.includes("/frame/"));
    expect(pictures.length).toBeGreaterThan(0);
    expect(pictures.filter((a) => !a.includes("adjust=3,0,0,0,20"))).toEqual([]);
    rotated.close();
  });

  afterEach(() => {
    viewer.close();
    vi.unstubAllGlobals();
    vi.restoreAllMocks();
  });

  /** Lets the clock run in steps of a screen's picture. */
  const run = async (seconds: number) => {
    for (const end = now + seconds * 1000; now < end; now += 20) {
      const due = frames;
      frames = [];
      for (const f of due) f(now);
      await flush();
    }
  };

  it("never goes back while a clip plays, not even when the window becomes larger", async () => {
    let resized = () => {};
    vi.stubGlobal(
      "ResizeObserver",
      class {
        constructor(f: () => void) {
          resized = f;
        }
        observe() {}
        disconnect() {}
      },
    );
    const box = stubBox();
    viewer.attach(box);
    await viewer.play();
    const seen: number[] = [];
    for (let i = 0; i < 8; i++) {
      await run(0.02);
      if (i === 3) {
        box.getBoundingClientRect = () => ({ x: 0, y: 0, width: 1280, height: 720 }) as DOMRect;
        resized();
        await new Promise((r) => setTimeout(r, 170));
      }
      seen.push(viewer.current);
    }
    expect(asked.at(-1)).toContain("w=1280");
    expect(seen).toEqual(seen.toSorted((a, b) => a - b));
  });

  it("fetches the pictures of a recording anew once more of it is read", async () => {
    vi.stubGlobal("window", { go: { main: { Bench: { ReadOn: vi.fn(() => Promise.resolve()) } } } });
    const before = asked.length;
    viewer.grown = true;
    await viewer.readOn();
    await flush();
    expect(viewer.grown).toBe(false);
    expect(asked.slice(before).filter((a) => a.includes("/frame/10?"))).toHaveLength(1);
  });

  it("steps through both moments of each picture, and by frames again", async () => {
    viewer.stepField(1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([10, 2]);
    expect(viewer.seconds).toBeCloseTo(10.5 / 25);
    expect(asked.some((a) => a.includes("/frame/10?") && a.includes("&field=2"))).toBe(true);
    viewer.stepField(1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([11, 1]);
    for (let i = 0; i < 3; i++) viewer.stepField(-1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([9, 2]);
    expect(viewer.current).toBe(9);
    viewer.step(1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([10, 0]);
  });

  it("stays inside the clip, field by field", async () => {
    viewer.goTo(0);
    await flush();
    viewer.stepField(-1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([0, 1]);
    viewer.goTo(FRAMES - 1);
    await flush();
    for (let i = 0; i < 3; i++) viewer.stepField(1, false);
    await flush();
    expect([viewer.shown, viewer.field]).toEqual([FRAMES - 1, 2]);
  });

  it("plays a loop over and over, and only that", async () => {
    viewer.loop = { first: 12, last: 16 };
    await viewer.play();
    const seen = new Set<number>();
    let back = 0;
    for (let i = 0, last = -1; i < 40; i++) {
      await run(0.02);
      if (viewer.shown < last) back++;
      last = viewer.shown;
      if (i > 0) seen.add(viewer.shown);
    }
    expect([...seen].sort((a, b) => a - b)).toEqual([12, 13, 14, 15, 16]);
    expect(back).toBeGreaterThanOrEqual(3);
    viewer.pause();
    expect(viewer.target).toBe(viewer.shown);
  });

  it("says that it waits for the drive, and goes on by itself once that answers", async () => {
    vi.useFakeTimers();
    const hung = "The drive does not answer.";
    let hangs = true;
    let late: () => void = () => {};
    stubImages((address) =>
      hangs && address.includes("/frame/30?") ? new Promise((_, no) => (late = () => no(new Error("no picture")))) : Promise.resolve(),
    );
    vi.stubGlobal("fetch", (address: string) => {
      if (address.endsWith("/drive")) return Promise.resolve(new Response(Float64Array.from([hangs ? 3 : 0]).buffer));
      return Promise.resolve(new Response(hung, { status: hangs ? 504 : 200 }));
    });
    viewer.goTo(30);
    await vi.advanceTimersByTimeAsync(190);
    expect(viewer.waiting).toBe("");
    await vi.advanceTimersByTimeAsync(710);
    expect(viewer.waiting).toBe("decoder");
    await vi.advanceTimersByTimeAsync(300);
    expect(viewer.waiting).toBe("drive");
    late();
    await vi.advanceTimersByTimeAsync(10);
    expect([viewer.waiting, viewer.trouble, viewer.target]).toEqual(["", hung, 10]);
    await vi.advanceTimersByTimeAsync(2100);
    late(); // asked once more, in vain
    await vi.advanceTimersByTimeAsync(10);
    hangs = false;
    await vi.advanceTimersByTimeAsync(2100);
    expect([viewer.shown, viewer.target, viewer.trouble, viewer.waiting]).toEqual([30, 30, "", ""]);
    vi.useRealTimers();
  });

  it("does not come back to a picture that nobody asks for any longer", async () => {
    vi.useFakeTimers();
    stubImages((address) => (address.includes("/frame/30?") ? Promise.reject(new Error("no picture")) : Promise.resolve()));
    vi.stubGlobal("fetch", () => Promise.resolve(new Response("The drive does not answer.", { status: 504 })));
    viewer.goTo(30);
    await vi.advanceTimersByTimeAsync(10);
    viewer.goTo(11);
    await vi.advanceTimersByTimeAsync(5000);
    expect([viewer.shown, viewer.target, viewer.trouble, viewer.waiting]).toEqual([11, 11, "", ""]);
    vi.useRealTimers();
  });

  it("shows what the decoder passes while a picture is late, and that one once it is there", async () => {
    vi.useFakeTimers();
    let there = () => {};
    let at = 20;
    stubImages((address) => (address.includes("/frame/30?") ? new Promise<void>((done) => (there = done)) : Promise.resolve()));
    vi.stubGlobal("fetch", () => Promise.resolve(new Response(Float64Array.from([at++]).buffer)));
    viewer.goTo(30);
    await vi.advanceTimersByTimeAsync(150);
    expect([viewer.shown, viewer.waiting]).toEqual([10, ""]);
    await vi.advanceTimersByTimeAsync(100);
    expect([viewer.shown, viewer.target, viewer.waiting]).toEqual([20, 30, "decoder"]);
    await vi.advanceTimersByTimeAsync(200);
    expect(viewer.shown).toBe(21);
    there();
    await vi.advanceTimersByTimeAsync(1000);
    expect([viewer.shown, viewer.target, viewer.waiting]).toEqual([30, 30, ""]);
    vi.useRealTimers();
  });

  it("loops to the very end of the clip", async () => {
    viewer.loop = { first: FRAMES - 4, last: FRAMES - 1 };
    await viewer.play();
    await run(0.6);
    expect(viewer.playing).toBe(true);
    viewer.loop = null;
    await run(0.6);
    expect(viewer.playing).toBe(false);
    expect(viewer.shown).toBe(FRAMES - 1);
  });

  it("shows every picture in order at a quarter of the speed", async () => {
    viewer.goTo(0);
    await flush();
    viewer.rate = 0.25;
    await viewer.play();
    const seen: number[] = [];
    for (let i = 0; i < 100; i++) {
      await run(0.02);
      if (seen.at(-1) !== viewer.shown) seen.push(viewer.shown);
    }
    expect(seen).toEqual(Array.from({ length: seen.length }, (_, i) => i));
    expect(seen.length).toBeGreaterThan(10);
  });
});
