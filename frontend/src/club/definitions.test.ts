import { describe, expect, it } from "vitest";
import type { Fault } from "../api/domain";
import { freeKeys, keyRemark, merged, secondsOf, secondsText } from "./definitions";

describe("a form whose row changes under it", () => {
  const base = { id: "p", name: "Ana", hand: "right", group: "", rung: 3 };
  const typed = { ...base, name: "Ana Mar", rung: "3" as unknown as number };

  it("keeps what is half typed, and takes the rest from the row", () => {
    expect(merged(typed, base, { ...base, hand: "left", group: "U13" })).toMatchObject({ name: "Ana Mar", hand: "left", group: "U13" });
  });

  it("keeps what is half typed where the row has that changed too", () => {
    expect(merged(typed, base, { ...base, name: "Anna" }).name).toBe("Ana Mar");
  });

  it("takes a number that was written again, but not changed, from the row", () => {
    expect(merged(typed, base, { ...base, rung: 4 }).rung).toBe(4);
  });

  it("is the row where nothing is typed, also where a field of it is gone", () => {
    const row = { id: "p", name: "Anna", rung: 3 };
    expect(merged<{ id: string }>({ ...base }, base, row)).toEqual(row);
  });
});

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
  expect([secondsText(45, 0), secondsText(0, 0)]).toEqual(["45", ""]);
  expect(["", "0.45", "0,456", ".5", "3", "-1", "soon", "1.", "0.4 s"].map(secondsOf)).toEqual([0, 0.45, 0.46, 0.5, 3, -1, -1, -1, -1]);
});
