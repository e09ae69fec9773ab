import { expect, it } from "vitest";
import { Standstill, standsOn } from "./standing";
import rule from "../../../internal/picture/drawing.go?raw";

it("stands on the first frame with something of its own, once, as long as in films, from when it is seen", () => {
  const seconds = Number(/const Stand = ([\d.]+)/.exec(rule)?.[1]);
  let now = 5;
  const stands = new Standstill(() => now);
  stands.add(standsOn([40, 12]));
  stands.add(standsOn([20]));
  stands.from(0);
  expect(stands.at(11)).toBe(-1);
  expect(stands.at(13)).toBe(12);
  expect(stands.over(11)).toBe(false);
  now = 6;
  expect(stands.over(12)).toBe(false);
  now += seconds - 0.01;
  expect([stands.at(12), stands.over(12)]).toEqual([12, false]);
  expect(stands.stood()).toBeCloseTo(seconds - 0.01, 9);
  now += 0.02;
  expect(stands.over(12)).toBe(true);
  stands.from(12);
  expect(stands.at(19)).toBe(-1);
  expect(stands.stood()).toBe(0);
  expect(stands.at(50)).toBe(20);
  now += 3.1; // its picture does not come
  expect(stands.over(19)).toBe(true);
  stands.from(20);
  expect(stands.at(50)).toBe(40);
});
