import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { ACTION_IDS, ACTIONS } from "./actions";
import { byPlace, cap, Keyboard, pressed, pressedAt } from "./keys";
import { Keymap } from "./keymap.svelte";
import { Likes } from "./likes.svelte";

const press = (key: string, code: string, more: Partial<KeyboardEvent> = {}) =>
  ({
    key,
    code,
    ctrlKey: false,
    metaKey: false,
    altKey: false,
    shiftKey: false,
    repeat: false,
    getModifierState: () => false,
    ...more,
  }) as KeyboardEvent;

describe("the table of actions", () => {
  it("gives no two actions that could meet the same key", () => {
    const keymap = new Keymap(new Likes(() => {}));
    for (const id of ACTION_IDS) {
      for (const key of keymap.of(id)) {
        if (ACTIONS[id].scope === "todo" || key === "Escape") continue;
        expect(keymap.refusal(id, { chord: key, printed: key }), id).toBe("");
      }
    }
  });
});

describe("Keymap", () => {
  let kept: Record<string, string>;
  let keymap: Keymap;

  beforeEach(async () => {
    kept = {};
    vi.stubGlobal("window", {
      go: {
        main: {
          Preferences: {
            All: () => Promise.resolve(kept),
            Keep: (key: string, value: string) => {
              kept[key] = value;
              return Promise.resolve();
            },
          },
        },
      },
    });
    const likes = new Likes(() => {});
    await likes.load();
    keymap = new Keymap(likes);
  });

  afterEach(() => vi.unstubAllGlobals());

  it("changes an action, keeps it, and has the usual key again", () => {
    const run = vi.fn();
    const binding = keymap.bind("missed", run);
    expect(binding.press).toEqual(["-"]);
    keymap.set("missed", "F12");
    expect(binding.press).toEqual(["F12"]);
    expect(kept["keys"]).toBe('{"missed":["F12"]}');
    expect(keymap.reset("missed")).toBe("");
    expect(binding.press).toEqual(["-"]);
    expect(kept["keys"]).toBe("");
  });

  it("refuses what another action of the same place has, a letter, and what fields need", () => {
    const refusal = (key: string) => keymap.refusal("missed", { chord: key, printed: key });
    expect(refusal("Enter")).toBe(
      "Enter is “Good stroke here; makes the one here good. In play that no turn covers: makes it a turn”: choose another key, or change that one first.",
    );
    expect(refusal("F5")).toContain("“Sessions”");
    expect(refusal("l")).toContain("Letters and digits belong to the faults");
    expect(refusal("Tab")).toContain("is needed in fields and dialogs");
    expect(refusal("Insert")).toBe(""); // of another place
    expect(refusal("-")).toBe(""); // its own
    keymap.set("good", "F12");
    expect(refusal("Enter")).toBe("");
    expect(refusal("F12")).not.toBe("");
    keymap.set("missed", "Enter");
    expect(keymap.reset("good")).toContain("Enter is “Missed stroke here");
  });

  it("is what it was to begin with where what is kept is not its own", async () => {
    for (const text of ["{", "[]", "null", '{"missed":"x","nothing":["y"],"good":[]}', '{"missed":[1]}']) {
      kept["keys"] = text;
      const likes = new Likes(() => {});
      await likes.load();
      const other = new Keymap(likes);
      expect(other.of("missed"), text).toEqual(["-"]);
      expect(other.of("good"), text).toEqual(["Enter"]);
    }
  });

  it("binds a key by its place, whatever is printed there", () => {
    const german = press("ü", "BracketLeft");
    const at = pressed(german, true);
    expect(at).toEqual({ chord: "@BracketLeft:ü", printed: "ü" });
    expect(cap(at?.chord ?? "")).toBe("ü (place)");
    expect(byPlace("Ctrl+@BracketLeft:x")).toBe("Ctrl+@BracketLeft");
    const plus = pressed(press("+", "BracketRight"), true);
    expect(plus && keymap.refusal("turnEnd", plus)).toContain("Yes to what is asked"); // printed there
    keymap.set("yes", "F12");
    expect(plus && keymap.refusal("turnEnd", plus)).toBe("");
    keymap.set("turnEnd", plus?.chord ?? "");
    const run = vi.fn();
    const keys = new Keyboard();
    keys.use(() => [keymap.bind("turnEnd", run)]);
    expect(keys.press("+", false, "@BracketRight")).toBe(true);
    expect(keys.press("]", false, "@Digit9")).toBe(false);
    expect(run).toHaveBeenCalledTimes(1);
  });

  it("takes the place of [ ] and / where a layout prints there what the program does not know", () => {
    const keys = new Keyboard();
    const run = vi.fn();
    keys.use(() => [keymap.bind("turnStart", run)]);
    vi.stubGlobal("Element", class {});
    let heard: (e: KeyboardEvent) => void = () => {};
    const target = { document: { querySelector: () => null }, addEventListener: (_: string, h: typeof heard) => (heard = h) };
    keys.listen(target as unknown as Window);
    const send = (key: string, code: string) => heard({ ...press(key, code), target: null, preventDefault: () => {} });
    send("ü", "BracketLeft");
    send("Dead", "BracketLeft");
    expect(run).toHaveBeenCalledTimes(2);
    const fault = vi.fn();
    keys.use(() => [{ press: ["ü"], help: "x", group: "x", run: fault }]);
    send("ü", "BracketLeft");
    expect(run).toHaveBeenCalledTimes(2);
    expect(fault).toHaveBeenCalledTimes(1);
  });
});

it("takes a key for pressed when it is stamped, and for pressed now where the desktop's clock is another one", () => {
  const now = performance.now();
  vi.spyOn(performance, "now").mockReturnValue(now);
  const at = (timeStamp: number) => pressedAt({ timeStamp } as Event);
  expect(at(now - 300)).toBe(now - 300);
  for (const stamp of [now + 100_000, 2 ** 64, now - 4_294_967_296, NaN]) expect(at(stamp)).toBe(now);
  vi.restoreAllMocks();
});

it("is asked for every key that is named: none is typed into words, where another may be meant", () => {
  const sources: Record<string, string> = import.meta.glob(["../**/*.svelte", "../**/*.ts", "!../**/*.test.ts", "!../**/*.stub.ts"], {
    query: "?raw",
    import: "default",
    eager: true,
  });
  // Where keys are declared, read and spelled.
  const apart = /\/(actions|keys|keymap\.svelte|types)\.ts$/;
  // What fields and buttons of a dialog do with a key is not the program's to change.
  const fixed = /Shift \+ Enter begins a new line|<kbd class="cap">Enter<\/kbd>/;
  const named = /\b(Ctrl|Alt|Shift) ?\+ ?\S|\bF\d{1,2}\b|class="cap"[^>]*>[^{<]/;
  const typed = Object.entries(sources)
    .filter(([file]) => !apart.test(file))
    .flatMap(([file, text]) =>
      text
        .split("\n")
        .filter((line) => named.test(line) && !fixed.test(line) && !/^\s*(\/\/|\/?\*)/.test(line))
        .map((line) => `${file}: ${line.trim()}`),
    );
  expect(Object.keys(sources).length).toBeGreaterThan(100);
  expect(typed).toEqual([]);
});
