// How a key press is spelled and finds its binding. What has a key stands in actions.ts.

export interface Binding {
  /** Chords as `chord` spells them: "ArrowLeft", "Shift+ArrowLeft", "Ctrl+z", "?". */
  readonly press: readonly string[];
  help: string;
  group: string;
  /** Goes on while the key is held; others act once a press. */
  held?: boolean;
  /** Works in a dialog too, which has all other keys to itself. */
  dialogs?: boolean;
  /** `at` is when the key was pressed, milliseconds on the clock of `performance.now`: a busy page hears of it later. */
  run: (repeat: boolean, at: number) => void;
}

/** How the program spells a key press; "" where it is only a modifier. */
export function chord(
  e: Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey" | "shiftKey"> & { getModifierState?: (k: string) => boolean },
): string {
  if (["Shift", "Control", "Alt", "Meta", "AltGraph", "Dead", "CapsLock"].includes(e.key)) return "";
  const altGr = e.getModifierState?.("AltGraph") ?? false;
  const ctrl = (e.ctrlKey || e.metaKey) && !altGr;
  const printable = [...e.key].length === 1 && e.key !== " ";
  if (printable) {
    // A sign is taken as it is printed, whatever keys a layout needs for it.
    if (!ctrl) return e.altKey && !altGr ? `Alt+${e.key.toLowerCase()}` : e.key.toLowerCase();
    return `Ctrl+${e.shiftKey && e.key.toLowerCase() !== e.key.toUpperCase() ? "Shift+" : ""}${e.key.toLowerCase()}`;
  }
  const name = e.key === " " ? "Space" : e.key;
  return `${ctrl ? "Ctrl+" : ""}${e.altKey && !altGr ? "Alt+" : ""}${e.shiftKey ? "Shift+" : ""}${name}`;
}

/**
 * When a key or button was pressed, milliseconds on the clock of `performance.now`. A desktop
 * stamps what is pressed by a clock that may be another one: what cannot be is now.
 */
export function pressedAt(e: Event): number {
  const now = performance.now();
  const longest = 5000; // that a page is busy
  return e.timeStamp <= now && e.timeStamp > now - longest ? e.timeStamp : now;
}

/** Signs that some layouts print in awkward places, by the place that they have on an American keyboard. */
const USUAL: Record<string, string> = { BracketLeft: "[", BracketRight: "]", Slash: "/" };

/** A key by its place: "@BracketLeft", whatever the layout prints there. */
function placeChord(e: KeyboardEvent): string {
  if (e.code === "" || e.getModifierState("AltGraph")) return "";
  return `${e.ctrlKey || e.metaKey ? "Ctrl+" : ""}${e.altKey ? "Alt+" : ""}${e.shiftKey ? "Shift+" : ""}@${e.code}`;
}

/** The place of a chord that is bound by it, without what is printed there; "" of one that is bound by its sign. */
export function byPlace(press: string): string | undefined {
  return press.includes("@") ? press.replace(/:[^]*$/, "") : undefined;
}

/** What somebody pressed to be bound. */
export interface Pressed {
  /** To be kept: by its sign, or by its place with what is printed there, "@BracketLeft:ü". */
  chord: string;
  /** By its sign. */
  printed: string;
}

/** Reads a press for binding it; null where it is only a modifier. */
export function pressed(e: KeyboardEvent, place: boolean): Pressed | null {
  const printed = chord(e);
  const at = placeChord(e);
  if (place && at !== "" && !/@(Shift|Control|Alt|Meta)/.test(at))
    return { chord: [...e.key].length === 1 ? `${at}:${e.key}` : at, printed };
  return printed === "" ? null : { chord: printed, printed };
}

const printed: Record<string, string> = {
  ArrowLeft: "←",
  ArrowRight: "→",
  ArrowUp: "↑",
  ArrowDown: "↓",
  PageUp: "Page ↑",
  PageDown: "Page ↓",
  Escape: "Esc",
  "-": "−",
};

/** A chord as printed on a key cap. */
export function cap(press: string): string {
  const [, before, code, sign] = /^(.*)@(\w+)(?::([^]*))?$/.exec(press) ?? [];
  if (before !== undefined) return [...before.split("+").filter(Boolean), `${sign ?? code} (place)`].join(" + ");
  const parts = press.split(/\+(?=.)/);
  return parts.map((part) => printed[part] ?? (part.length === 1 && parts.length > 1 ? part.toUpperCase() : part)).join(" + ");
}

/** Bindings under the names of their groups, in the order of declaration. */
export function byGroup(bindings: readonly Binding[]): [string, Binding[]][] {
  const groups = new Map<string, Binding[]>();
  for (const b of bindings) groups.set(b.group, [...(groups.get(b.group) ?? []), b]);
  return [...groups];
}

/** Whether keys pressed there belong to the field and not to the program. */
function typing(target: EventTarget | null): boolean {
  if (!(target instanceof Element)) return false;
  const field = target.closest("input, textarea, select, [contenteditable]");
  if (!field) return false;
  if (field instanceof HTMLInputElement) return !["button", "checkbox", "radio", "range", "submit"].includes(field.type);
  return true;
}

/** Whether the element with the keyboard focus handles that key itself. */
function takes(target: EventTarget | null, pressed: string): boolean {
  if (!(target instanceof Element)) return false;
  if (target.matches("input[type=range]:focus-visible")) return pressed.startsWith("Arrow");
  return (
    (pressed === "Enter" || pressed === "Space") &&
    target.matches("button:focus-visible, a:focus-visible, summary:focus-visible, input:focus-visible")
  );
}

/** Answers key presses from layers of bindings; the last layer is asked first. */
export class Keyboard {
  #layers: (() => readonly Binding[])[] = [];

  /** Adds a layer; the returned function takes it away. */
  use(layer: () => readonly Binding[]): () => void {
    this.#layers.push(layer);
    return () => {
      this.#layers = this.#layers.filter((l) => l !== layer);
    };
  }

  /** Every binding in force, lowest layer first: the help sheet. */
  all(): Binding[] {
    return this.#layers.flatMap((layer) => [...layer()]);
  }

  /** Runs the binding of a chord or, first, of a place; false where there is none, in a dialog of those that work there. */
  press(pressed: string, repeat: boolean, place = "", inDialog = false, at = performance.now()): boolean {
    for (const layer of this.#layers.toReversed()) {
      const all = inDialog ? layer().filter((b) => b.dialogs) : layer();
      const found =
        (place !== "" && all.find((b) => b.press.some((p) => byPlace(p) === place))) || all.find((b) => b.press.includes(pressed));
      if (!found) continue;
      if (!repeat || found.held) found.run(repeat, at);
      return true;
    }
    return false;
  }

  /** Listens on the window, so that the first key works without a click. */
  listen(target: Window): () => void {
    const heard = (e: KeyboardEvent) => {
      if (e.defaultPrevented || e.isComposing) return;
      // No field does anything with F1 to F12.
      if (typing(e.target) && !/^F\d+$/.test(e.key)) return;
      const inDialog = target.document.querySelector("dialog[open]") !== null;
      const pressed = chord(e);
      if (takes(e.target, pressed)) return;
      // Where a layout prints something there that the program does not know, its place is meant.
      const usual = e.ctrlKey || e.altKey || e.metaKey || e.shiftKey ? undefined : USUAL[e.code];
      if (
        this.press(pressed, e.repeat, placeChord(e), inDialog, pressedAt(e)) ||
        (usual !== undefined && this.press(usual, e.repeat, "", inDialog, pressedAt(e)))
      )
        e.preventDefault();
    };
    target.addEventListener("keydown", heard);
    return () => target.removeEventListener("keydown", heard);
  }
}
