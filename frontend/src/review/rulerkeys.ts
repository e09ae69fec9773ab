import type { Binding } from "../shared/keys";
import { CORNERS, type Ruler } from "./ruler.svelte";

const GROUP = "The ruler";

/** The keys while the ruler is open, above those of the bench. */
export function rulerKeys(r: Ruler, picture: { width: number; height: number }): readonly Binding[] {
  const keys: Binding[] = [{ press: ["Escape"], help: "Put the ruler away", group: GROUP, run: () => void r.leave() }];
  if (r.placing && r.placing.length >= CORNERS) {
    keys.push({ press: ["Enter"], help: "No other net post is in sight: lay the ruler", group: GROUP, run: () => void r.finish() });
  } else {
    keys.push({
      press: ["Enter"],
      help: "A click in the middle of the picture; Tab chooses it, arrows move it",
      group: GROUP,
      run: () => r.click({ x: picture.width / 2, y: picture.height / 2 }),
    });
  }
  if (r.placing?.length || r.points.length > 0) {
    keys.push({ press: ["Backspace"], help: "Take the last click back", group: GROUP, run: () => void r.back() });
  }
  return keys;
}
