import { expect, it, vi } from "vitest";
import { keepPlace, placeKept } from "./lastplace";
import { Likes } from "./likes.svelte";

vi.mock("../api/api", () => ({ preferences: { all: () => Promise.resolve({}), keep: () => Promise.resolve() } }));

it("comes back to the clip and the frame of the same library", () => {
  const likes = new Likes(() => {});
  expect(placeKept(likes, "/club")).toBeNull();
  keepPlace(likes, { dir: "/club", clip: "c", frame: 12 });
  expect(placeKept(likes, "/club")).toEqual({ clip: "c", frame: 12 });
  expect(placeKept(likes, "/other")).toBeNull();
});

it("takes what is no place for none", () => {
  const likes = new Likes(() => {});
  for (const kept of ["{", "7", '{"dir":"/club"}', '{"dir":"/club","clip":1,"frame":2}', '{"dir":"/club","clip":"c","frame":"2"}']) {
    likes.keep("place", kept);
    expect(placeKept(likes, "/club"), kept).toBeNull();
  }
});
