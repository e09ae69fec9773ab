import { describe, expect, it } from "vitest";
import type { Fault } from "../api/domain";
import { freeKeys, keyRemark, secondsOf, secondsText } from "./definitions";

describe("fault keys", () => {
  const fault = (id: string, key: string, retired = false): Fault => ({
    id,
    code: id,
    label: "x",
    phase: "ready",
    sides: "both",
    weight: 1,
    key,
    retired,
  });

  it("name the fault that owns a key already", () => {
    const all = [fault("LATE", "l"), fault("OLD", "o", true)];
    expect(keyRemark(fault("NEW", "l"), all)).toContain("LATE");
    expect(keyRemark(fault("NEW", "o"), all)).toMatch(/^Free/);
    expect(keyRemark(fault("LATE", "l"), all)).toMatch(/^Free/);
    expect(freeKeys(all)).not.toMatch(/\bl\b/);
    expect(freeKeys(all)).toMatch(/\bo\b/);
  });
});

it("seconds in a field have two decimals, nothing is 0, and what is no number is refused", () => {
  expect([secondsText(0.4), secondsText(0), secondsText(undefined), secondsText("0,")]).toEqual(["0.40", "", "", "0,"]);
  expect(["", "0.45", "0,456", ".5", "3", "-1", "soon", "1.", "0.4 s"].map(secondsOf)).toEqual([0, 0.45, 0.46, 0.5, 3, -1, -1, -1, -1]);
});
