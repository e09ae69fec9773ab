import { CORNERS, type Ruler } from "./ruler.svelte";
import type { Binding } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";

/** The keys while the ruler is open, above those of the bench. */
export function rulerKeys(k: Keymap, r: Ruler, picture: { width: number; height: number }): readonly Binding[] {
  const keys: Binding[] = [k.bind("rulerAway", () => void r.leave())];
  const laid = r.placing && r.placing.length >= CORNERS;
  keys.push(k.bind("rulerClick", () => (laid ? void r.finish() : r.click({ x: picture.width / 2, y: picture.height / 2 }))));
  if (r.placing?.length || r.points.length > 0) keys.push(k.bind("rulerBack", () => void r.back()));
  return keys;
}
