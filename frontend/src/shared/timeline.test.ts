import { describe, expect, it } from "vitest";
import { clock, length, Timeline } from "./timeline";

describe("Timeline", () => {
  // Uneven, as phones write it.
  const t = new Timeline(Float64Array.of(0, 0.04, 0.08, 0.2, 0.24), 0.28);

  it("finds each frame by its own time", () => {
    for (let n = 0; n < t.length; n++) expect(t.frameAt(t.seconds(n))).toBe(n);
  });

  it("gives the frame that is still on show between two", () => {
    expect(t.frameAt(0.19)).toBe(2);
    expect(t.frameAt(0.2)).toBe(3);
  });

  it("stays inside the clip", () => {
    expect(t.frameAt(-5)).toBe(0);
    expect(t.frameAt(99)).toBe(4);
    expect(t.seconds(-1)).toBe(0);
    expect(t.seconds(99)).toBe(0.24);
  });

  it("holds without any frame", () => {
    const none = new Timeline(new Float64Array(), 0);
    expect(none.frameAt(1)).toBe(0);
    expect(none.seconds(3)).toBe(0);
    expect(none.pace(0)).toBe(25);
  });
});

describe("times as written", () => {
  it.each([
    [0, "0:00.000"],
    [3.04, "0:03.040"],
    [59.9996, "1:00.000"],
    [720, "12:00.000"],
    [3723.004, "1:02:03.004"],
    [-0.25, "-0:00.250"],
  ])("clock of %d s", (s, want) => expect(clock(s)).toBe(want));

  it.each([
    [0, "0:00"],
    [8.4, "0:08"],
    [59.6, "1:00"],
    [3723, "1:02:03"],
  ])("length of %d s", (s, want) => expect(length(s)).toBe(want));
});
