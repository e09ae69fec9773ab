import { afterEach, expect, it, vi } from "vitest";
import { App } from "./app.svelte";
import { SummaryState } from "./summary.svelte";

const group = { kind: "all", faults: [] };
const sheet = (id: string, name: string) => ({ player_id: id, name, all: group, methods: [], drills: [] });

afterEach(() => vi.unstubAllGlobals());

it("writes a player's sheet without any other player", async () => {
  const Export = vi.fn(() => Promise.resolve("/out/page.html"));
  const Get = () => Promise.resolve({ team: sheet("", "Team"), players: [sheet("a", "Ada"), sheet("b", "Bo")] });
  vi.stubGlobal("window", { go: { main: { Summary: { Get, Export }, Sessions: { List: () => Promise.resolve(null) } } } });
  const summary = new SummaryState(new App());
  await summary.load();

  summary.look("b");
  await summary.export("html");
  expect(Export).toHaveBeenLastCalledWith(expect.objectContaining({ players: ["b"] }), "html");

  summary.look("");
  await summary.export("csv");
  expect(Export).toHaveBeenLastCalledWith(expect.objectContaining({ players: [] }), "csv");
});
