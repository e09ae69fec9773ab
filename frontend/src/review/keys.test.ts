import { describe, expect, it, vi } from "vitest";
import type { Fault } from "../api/domain";
import { ACTION_IDS, ACTIONS } from "../shared/actions";
import { App } from "../shared/app.svelte";
import { Bench } from "./bench.svelte";
import { benchKeys, faultKeys } from "./benchkeys";
import { pictureKeys } from "./picturekeys";
import { cap, chord, Keyboard, type Binding } from "../shared/keys";

const press = (key: string, more: Partial<KeyboardEvent> = {}) => ({
  key,
  ctrlKey: false,
  metaKey: false,
  altKey: false,
  shiftKey: false,
  ...more,
});

describe("the keys of the bench", () => {
  const app = new App();
  const bench = new Bench(app);
  const fixed = [...app.keys, ...benchKeys(bench), ...pictureKeys(app.keymap, bench.pictures)];

  it("leave every letter and digit to the team's faults", () => {
    for (const b of fixed) for (const p of b.press) expect(p).not.toMatch(/^[\p{L}\p{N}]$/u);
  });

  it("are declared once each, with a help text", () => {
    const all = fixed.flatMap((b) => b.press);
    expect(new Set(all).size).toBe(all.length);
    for (const b of fixed) expect(b.help).not.toBe("");
  });

  it("are all of those in the table of actions", () => {
    const bound = new Set(fixed.map((b) => b.help));
    for (const id of ACTION_IDS) {
      const { scope, help } = ACTIONS[id];
      if (["everywhere", "review", "picture"].includes(scope)) expect(bound).toContain(help);
    }
  });

  it("are the ones agreed", () => {
    const agreed =
      "ArrowLeft ArrowRight Shift+ArrowLeft Shift+ArrowRight PageUp PageDown Home End Ctrl+g Space Enter - / [ ] ArrowUp ArrowDown F2 Delete Ctrl+z Ctrl+Shift+z Ctrl+y ?";
    const all = fixed.flatMap((b) => b.press);
    for (const p of agreed.split(" ")) expect(all).toContain(p);
  });

  it("give each fault its own key and help text, and none to a fault without", () => {
    const fault = (code: string, key: string): Fault => ({ id: code, code, label: "x", phase: "ready", sides: "both", weight: 1, key });
    const hit = vi.fn();
    const made = faultKeys([fault("LATE", "l"), fault("NONE", "")], hit);
    expect(made).toHaveLength(1);
    expect(made[0]?.press).toEqual(["l"]);
    made[0]?.run(false, 0);
    expect(hit).toHaveBeenCalledWith(expect.objectContaining({ code: "LATE" }));
  });
});

describe("chord", () => {
  it.each([
    [press("ArrowLeft"), "ArrowLeft"],
    [press("ArrowLeft", { shiftKey: true }), "Shift+ArrowLeft"],
    [press("z", { ctrlKey: true }), "Ctrl+z"],
    [press("Z", { ctrlKey: true, shiftKey: true }), "Ctrl+Shift+z"],
    [press("L"), "l"],
    [press(" "), "Space"],
    [press("?", { shiftKey: true }), "?"],
    // A German keyboard needs Shift for / and AltGr, seen as Ctrl + Alt, for [.
    [press("/", { shiftKey: true }), "/"],
    [{ ...press("[", { ctrlKey: true, altKey: true }), getModifierState: (k: string) => k === "AltGraph" }, "["],
    [press("Shift", { shiftKey: true }), ""],
    [press("é"), "é"],
  ])("spells %o", (e, want) => expect(chord(e)).toBe(want));

  it("prints caps", () => {
    expect(cap("Shift+ArrowLeft")).toBe("Shift + ←");
    expect(cap("Ctrl+z")).toBe("Ctrl + Z");
    expect(cap("-")).toBe("−");
    expect(cap("l")).toBe("l");
    expect(cap("+")).toBe("+");
  });
});

describe("Keyboard", () => {
  const binding = (p: string, run: () => void, held = false): Binding => ({ press: [p], help: "x", group: "x", held, run });

  it("acts once a press, and goes on only where a key may be held", () => {
    const keys = new Keyboard();
    const mark = vi.fn();
    const step = vi.fn();
    keys.use(() => [binding("l", mark), binding("ArrowRight", step, true)]);
    for (const repeat of [false, true, true]) {
      expect(keys.press("l", repeat)).toBe(true);
      keys.press("ArrowRight", repeat);
    }
    expect(mark).toHaveBeenCalledTimes(1);
    expect(step).toHaveBeenCalledTimes(3);
    expect(keys.press("q", false)).toBe(false);
  });

  it("asks the last layer first, and forgets a layer that is taken away", () => {
    const keys = new Keyboard();
    const below = vi.fn();
    const above = vi.fn();
    keys.use(() => [binding("Enter", below)]);
    const stop = keys.use(() => [binding("Enter", above)]);
    keys.press("Enter", false);
    stop();
    keys.press("Enter", false);
    expect(above).toHaveBeenCalledTimes(1);
    expect(below).toHaveBeenCalledTimes(1);
  });
});
