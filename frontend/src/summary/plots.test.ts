import { expect, it } from "vitest";
import { roomFor, within } from "./plots";

it("leaves room for the longest text, and shortens what has less", () => {
  expect(roomFor([])).toBe(0);
  expect(roomFor(["7 of 52", "19,584 of 159,553"])).toBe(roomFor(["19,584 of 159,553"]));
  const name = "Player 000 Constantinopolou";
  expect(within(name, roomFor([name]))).toBe(name);
  const short = within(name, 100);
  expect(short).toMatch(/^Player 0.*…$/);
  expect(roomFor([short])).toBeLessThanOrEqual(100);
  expect(within("乒乓🏓🏓", 20)).toBe("乒…");
});
