import { beforeEach, describe, expect, it } from "vitest";
import { FrameCache } from "./framecache";

class Fake {
  closed = false;
  constructor(readonly n: number) {}
  close() {
    this.closed = true;
  }
}

/** A source whose answers arrive when the test says so, in any order. */
class Source {
  waiting = new Map<number, { done: (p: Fake) => void; fail: (e: unknown) => void }>();
  made: Fake[] = [];
  aborted: number[] = [];

  readonly load = (n: number, signal: AbortSignal) =>
    new Promise<Fake>((done, fail) => {
      this.waiting.set(n, { done, fail });
      signal.addEventListener("abort", () => {
        this.aborted.push(n);
        this.waiting.delete(n);
        fail(new Error("aborted"));
      });
    });

  async answer(n: number) {
    const w = this.waiting.get(n);
    if (!w) throw new Error(`frame ${n} was not asked for`);
    this.waiting.delete(n);
    const p = new Fake(n);
    this.made.push(p);
    w.done(p);
    await flush();
  }

  async refuse(n: number) {
    this.waiting.get(n)?.fail(new Error("no such frame"));
    this.waiting.delete(n);
    await flush();
  }
}

const flush = () => new Promise<void>((r) => setTimeout(r, 0));

describe("Pictures", () => {
  let source: Source;
  let shown: number[];
  let failed: number[];
  let time: number;
  let pictures: FrameCache<Fake>;

  beforeEach(() => {
    source = new Source();
    shown = [];
    failed = [];
    time = 0;
    pictures = new FrameCache<Fake>(
      1000,
      source.load,
      (n) => shown.push(n),
      (n) => failed.push(n),
      { flight: 3, cached: 16, ahead: 4 },
      () => time,
    );
  });

  it("asks for the wanted frame first, then its neighbours, three at once", () => {
    pictures.request(10, 1);
    expect([...source.waiting.keys()]).toEqual([10, 11, 12]);
    expect(pictures.inFlight).toBe(3);
  });

  it("fetches ahead backwards when the coach steps backwards", () => {
    pictures.request(10, -1);
    expect([...source.waiting.keys()]).toEqual([10, 9, 8]);
  });

  it("shows only the wanted frame, whatever order answers come in", async () => {
    pictures.request(10, 1);
    await source.answer(12);
    await source.answer(11);
    expect(shown).toEqual([]);
    await source.answer(10);
    expect(shown).toEqual([10]);
    pictures.request(11, 1);
    expect(shown).toEqual([10, 11]);
  });

  it("lets the newest request push others aside, and never queues", async () => {
    pictures.request(10, 1);
    pictures.request(500, 1);
    pictures.request(900, 1);
    expect(source.waiting.has(900)).toBe(true);
    expect(pictures.inFlight).toBe(3);
    await source.answer(900);
    expect(shown).toEqual([900]);
  });

  it("never shows a frame that was wanted before", async () => {
    pictures.request(10, 1);
    pictures.request(11, 1);
    await source.answer(10);
    expect(shown).toEqual([]);
    await source.answer(11);
    expect(shown).toEqual([11]);
  });

  it("keeps few pictures and closes each one that it drops", async () => {
    for (let n = 0; n < 40; n++) {
      pictures.request(n, 1);
      while (source.waiting.size > 0) await source.answer([...source.waiting.keys()][0] ?? -1);
    }
    expect(pictures.size).toBe(16);
    expect(source.made.filter((p) => !p.closed)).toHaveLength(16);
    // Nothing was fetched twice: 40 frames, and the ones ahead of the last.
    expect(source.made).toHaveLength(44);
    pictures.close();
    expect(source.made.every((p) => p.closed)).toBe(true);
  });

  it("does not ask outside the clip", () => {
    pictures.request(999, 1);
    expect([...source.waiting.keys()]).toEqual([999, 998]);
  });

  it("tells of the wanted frame that cannot be had, once, and tries again when asked again", async () => {
    pictures.request(10, 1);
    await source.refuse(10);
    expect(failed).toEqual([10]);
    expect(source.waiting.has(10)).toBe(false);
    pictures.request(10, 1);
    expect(source.waiting.has(10)).toBe(true);
  });

  describe("following a clock", () => {
    it("shows the latest picture at or before the clock and never runs backwards", async () => {
      pictures.follow(10, 25);
      await source.answer(11);
      await source.answer(12);
      expect(shown).toEqual([]);
      pictures.follow(12, 25);
      expect(shown).toEqual([12]);
      await source.answer(10);
      expect(shown).toEqual([12]);
    });

    it("leaves out frames above 60 pictures a second", () => {
      pictures.follow(10, 120);
      for (const n of source.waiting.keys()) expect(n % 2).toBe(0);
    });

    it("asks further ahead when pictures take long, so that the clock is met", async () => {
      pictures.follow(0, 50);
      for (let i = 0; i < 30; i++) {
        const n = Math.min(...source.waiting.keys());
        time += 200;
        await source.answer(n);
        pictures.follow(i, 50);
      }
      // 200 ms a picture at 50 frames a second: ten frames pass meanwhile. The
      // oldest request under way was made three answers ago.
      expect(Math.min(...source.waiting.keys())).toBeGreaterThanOrEqual(26 + 10);
    });
  });
});
