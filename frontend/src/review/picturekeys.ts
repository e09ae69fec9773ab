import type { Binding } from "../shared/keys";
import type { Framing } from "./framing.svelte";

const GROUP = "The picture";
/** One press makes the picture so many times larger. */
const STEP = 1.25;
/** One press moves it by so much of what is seen. */
const MOVE = 0.15;

/** The keys that make a picture larger and move it. */
export function pictureKeys(f: Framing | undefined): readonly Binding[] {
  const pan = (x: number, y: number) => f?.pan((x * MOVE * f.box.width) / f.density, (y * MOVE * f.box.height) / f.density);
  return [
    {
      press: ["Ctrl++", "Ctrl+=", "Ctrl+Shift++"],
      help: "Larger; the wheel too, at the pointer",
      group: GROUP,
      held: true,
      run: () => f?.zoom(STEP),
    },
    { press: ["Ctrl+-"], help: "Smaller", group: GROUP, held: true, run: () => f?.zoom(1 / STEP) },
    { press: ["Ctrl+0"], help: "The whole picture", group: GROUP, run: () => f?.whole() },
    { press: ["Ctrl+Shift+ArrowLeft"], help: "Look further left in a larger picture", group: GROUP, held: true, run: () => pan(1, 0) },
    { press: ["Ctrl+Shift+ArrowRight"], help: "Further right", group: GROUP, held: true, run: () => pan(-1, 0) },
    { press: ["Ctrl+Shift+ArrowUp"], help: "Further up", group: GROUP, held: true, run: () => pan(0, 1) },
    { press: ["Ctrl+Shift+ArrowDown"], help: "Further down", group: GROUP, held: true, run: () => pan(0, -1) },
  ];
}
