import { beforeEach, expect, it, vi } from "vitest";
import type { DefinedFault, DefinitionText } from "../api/domain";
import { App } from "../shared/app.svelte";
import { DefinitionsState } from "./definitions.svelte";

const row = (fault: string): DefinedFault => ({ fault_id: fault, counts: "", not: "", history: [], models: [] });
let sent: DefinitionText[] = [];
let d: DefinitionsState;

beforeEach(async () => {
  sent = [];
  const Define = (text: DefinitionText) => {
    sent.push(text);
    if (text.older === "") return Promise.reject(new Error("problem/older: There are marks of it already."));
    return Promise.resolve({ id: "x", coach_id: "k", made: "", ...text });
  };
  vi.stubGlobal("window", {
    go: {
      main: { Definitions: { List: () => Promise.resolve([row("a"), row("b")]), Define }, Library: { State: () => Promise.resolve({}) } },
    },
  });
  d = new DefinitionsState(new App());
  await d.load();
});

it("asks what older marks mean, and sends what was written when it is answered", async () => {
  d.write({ counts: "The elbow leads." });
  await d.save();
  expect(d.asking).toMatchObject({ fault: "a", counts: "The elbow leads." });
  d.at = 1; // another fault is looked at meanwhile
  await d.save("other");
  expect(sent.map((t) => [t.fault_id, t.older])).toEqual([
    ["a", ""],
    ["a", "other"],
  ]);
  expect(d.asking).toBeNull();
});

it("keeps what is written of a fault while another is looked at", () => {
  d.write({ not: "A high ball." });
  d.at = 1;
  expect(d.draft.not).toBe("");
  expect(d.changed).toBe(false);
  d.at = 0;
  expect(d.draft.not).toBe("A high ball.");
  expect(d.changed).toBe(true);
});
