import { describe, expect, it } from "vitest";
import type { BenchCore } from "./core";
import { Cameras } from "./cameras.svelte";
import { Timeline } from "../shared/timeline";
import type { Viewer } from "./viewer.svelte";

const clock = (frames: number, rate: number) =>
  new Timeline(
    Float64Array.from({ length: frames }, (_, n) => n / rate),
    frames / rate,
  );

function two(): Cameras {
  const bench = {
    viewer: { timeline: clock(250, 25) },
    clip: { id: "main" },
    frame: 0,
  } as unknown as BenchCore;
  const c = new Cameras(bench);
  c.group = {
    main_id: "main",
    main_name: "left.mp4",
    own: false,
    views: [{ clip_id: "side", name: "right.mp4", offset: 2, drift: 0.001, say: "" }],
  };
  c.shown = { timeline: clock(300, 30), clip: { clip: { id: "side" } } } as unknown as Viewer;
  return c;
}

describe("Cameras", () => {
  it("shows the picture nearest to the same moment, by both clocks", () => {
    const c = two();
    expect(c.at(50)).toBe(0);
    expect(c.at(150)).toBe(Math.round(((6 - 2) / 1.001) * 30));
    expect(c.seen).toBe("side");
  });

  it("has no picture where the other camera was not filming", () => {
    const c = two();
    expect(c.at(10)).toBe(-1);
    expect(c.place("main", 10)).toEqual({ clip: "main", frame: 10 });
  });

  it("enters on the picture that is shown", () => {
    const c = two();
    expect(c.place("main", 75)).toEqual({ clip: "side", frame: 30 });
    c.shown = null;
    expect(c.place("main", 75)).toEqual({ clip: "main", frame: 75 });
  });

  it("says where an entry went that the other clip keeps for itself", () => {
    const c = two();
    expect(c.elsewhere("main")).toBe("");
    expect(c.elsewhere("side")).toContain("right.mp4");
  });
});
