import { describe, expect, it } from "vitest";
import type { Burst } from "../api/domain";
import { assigned, nextPlayer, rowsOf } from "./burstlist";

const burst = (first: number, more: Partial<Burst> = {}): Burst => ({
  first,
  last: first + 90,
  from: 0,
  to: 0,
  contacts: 9,
  strokes: 4,
  open: false,
  after: -1,
  player_id: "",
  drill_id: "",
  ...more,
});

describe("who plays what in the bursts of a clip", () => {
  it("goes round the order, and begins with its first for a player who is not in it", () => {
    expect(["a", "b", "c", "z", ""].map((p) => nextPlayer(["a", "b", "c"], p))).toEqual(["b", "c", "a", "a", "a"]);
    expect(nextPlayer([], "a")).toBe("a");
  });

  it("follows from row to row, by the order and with the same drill", () => {
    const rows = rowsOf([burst(0, { player_id: "b", drill_id: "d" }), burst(100), burst(200)], []);
    expect(assigned(rows, ["a", "b", "c"]).map((t) => t.player_id + t.drill_id)).toEqual(["bd", "cd", "ad"]);
    expect(assigned(rows, []).map((t) => t.player_id)).toEqual(["b", "b", "b"]);
  });

  it("goes on from what was chosen, and passes over what is left out", () => {
    const rows = rowsOf([burst(0), burst(100), burst(200), burst(300)], []);
    const chosen = rows.map((r, i) => ({
      ...r,
      ...(i === 0 && { player: "c", drill: "e" }),
      ...(i === 1 && { taken: false }),
      ...(i === 2 && { drill: "f" }),
    }));
    const turns = assigned(chosen, ["a", "b", "c"]);
    expect(turns.map((t) => t.player_id)).toEqual(["c", "a", "a", "b"]);
    expect(turns.map((t) => t.drill_id)).toEqual(["e", "e", "f", "f"]);
    expect(turns.map((t) => [t.first, t.last])).toEqual([
      [0, 90],
      [100, 190],
      [200, 290],
      [300, 390],
    ]);
  });

  it("begins anew behind a turn that stands between two rows", () => {
    const rows = rowsOf(
      [
        burst(0, { player_id: "a", drill_id: "d" }),
        burst(300, { after: 250, player_id: "c", drill_id: "e" }),
        burst(400, { after: 250, player_id: "c", drill_id: "e" }),
      ],
      [],
    );
    expect(assigned(rows, ["a", "b", "c"]).map((t) => t.player_id + t.drill_id)).toEqual(["ad", "ce", "ae"]);
  });

  it("keeps what was chosen where rows are joined or split", () => {
    const old = rowsOf([burst(0), burst(100), burst(200)], []).map((r, i) => ({ ...r, player: `p${i}`, taken: i !== 2 }));
    const joined = { ...burst(0), last: 190 };
    expect(rowsOf([joined, burst(200)], old).map((r) => [r.player, r.taken])).toEqual([
      ["p0", true],
      ["p2", false],
    ]);
    expect(rowsOf([{ ...burst(50), last: 90 }], old).map((r) => r.player)).toEqual(["p0"]);
    expect(rowsOf([burst(500)], old).map((r) => [r.player, r.taken])).toEqual([["", true]]);
  });
});
