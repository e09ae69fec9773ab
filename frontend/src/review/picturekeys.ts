import type { Binding } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";
import type { Framing } from "./framing.svelte";
import type { Pictures } from "./pictures.svelte";

/** One press makes the picture so many times larger. */
const STEP = 1.25;
/** One press moves it by so much of what is seen. */
const MOVE = 0.15;

/** The keys that make a picture larger and move it. */
export function zoomKeys(k: Keymap, f: Framing | undefined): readonly Binding[] {
  const pan = (x: number, y: number) => f?.pan((x * MOVE * f.box.width) / f.density, (y * MOVE * f.box.height) / f.density);
  return [
    k.bind("larger", () => f?.zoom(STEP)),
    k.bind("smaller", () => f?.zoom(1 / STEP)),
    k.bind("wholePicture", () => f?.whole()),
    k.bind("lookLeft", () => pan(1, 0)),
    k.bind("lookRight", () => pan(-1, 0)),
    k.bind("lookUp", () => pan(0, 1)),
    k.bind("lookDown", () => pan(0, -1)),
  ];
}

/** Those, and the ones that change how the clip on the bench is shown. */
export function pictureKeys(k: Keymap, pictures: Pictures): readonly Binding[] {
  return [
    ...zoomKeys(k, pictures.bench.viewer?.framing),
    k.bind("rotateRight", () => void pictures.rotate(1)),
    k.bind("rotateLeft", () => void pictures.rotate(-1)),
    k.bind("mirror", () => void pictures.mirror()),
    k.bind("shownAs", () => (pictures.adjusting = !pictures.adjusting)),
  ];
}
