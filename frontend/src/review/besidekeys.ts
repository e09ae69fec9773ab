import type { Binding } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";
import type { Beside } from "./beside.svelte";
import type { Drawings } from "./drawings.svelte";

/** The keys of two pictures beside each other. */
export function besideKeys(k: Keymap, b: Beside, d: Drawings): readonly Binding[] {
  return [
    k.bind("besideBack", (r) => b.step(-1, r)),
    k.bind("besideOn", (r) => b.step(1, r)),
    k.bind("besideTenBack", (r) => b.step(-10, r)),
    k.bind("besideTenOn", (r) => b.step(10, r)),
    k.bind("besideSecondBack", (r) => b.skip(-1, r)),
    k.bind("besideSecondOn", (r) => b.skip(1, r)),
    k.bind("besideStrokeOn", () => b.toStroke(1)),
    k.bind("besideStrokeBack", () => b.toStroke(-1)),
    k.bind("besideTurn", () => b.turn()),
    k.bind("besideLock", () => b.toggleLock()),
    k.bind("besidePlay", () => b.toggle()),
    k.bind("besideSlower", () => b.changeRate(-1)),
    k.bind("besideFaster", () => b.changeRate(1)),
    k.bind("besideOver", () => (b.over = !b.over)),
    k.bind("besideMirror", () => b.leading?.mirror()),
    k.bind("besideDraw", () => {
      b.pause();
      d.toggle();
    }),
    k.bind("besideChoose", () => void b.ask("choose")),
    k.bind("besideKeep", () => void b.ask("keep")),
    k.bind("besideList", () => void b.ask("list")),
    k.bind("besideHandOver", () => void b.ask("hand over")),
    k.bind("besideEnd", () => b.end()),
  ];
}
