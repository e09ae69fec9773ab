import type { Binding } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";
import type { Drawings } from "./drawings.svelte";

/** The keys while something is drawn, above those of the bench; no fault is marked meanwhile. */
export function drawKeys(k: Keymap, d: Drawings): readonly Binding[] {
  return [
    k.bind("drawLine", () => d.choose("line")),
    k.bind("drawArrow", () => d.choose("arrow")),
    k.bind("drawCircle", () => d.choose("circle")),
    k.bind("drawAngle", () => d.choose("angle")),
    k.bind("drawFree", () => d.choose("free")),
    k.bind("drawText", () => d.choose("text")),
    k.bind("drawPut", () => void d.putInTheMiddle()),
    k.bind("drawNext", () => d.walk(1)),
    k.bind("drawBefore", () => d.walk(-1)),
    k.bind("drawFrom", () => void d.span(d.frame, Math.max(d.frame, d.selected?.last ?? 0))),
    k.bind("drawTo", () => void d.span(Math.min(d.frame, d.selected?.first ?? 0), d.frame)),
    k.bind("drawWords", () => d.words()),
    k.bind("drawWipe", () => void d.wipe()),
    k.bind("drawDone", () => d.giveUp()),
  ];
}
