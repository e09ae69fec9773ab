import { CORNERS, type Handle } from "./ruler.svelte";

const PLACES: readonly string[] = [
  "left corner at the filmed player's end",
  "right corner at the filmed player's end",
  "right corner at the partner's end",
  "left corner at the partner's end",
  "outer end of the net's top, left",
  "outer end of the net's top, right",
];

/** What is to be clicked next, as the filmed player sees the table. */
export function stepWords(next: number): string {
  const what = PLACES[next] ?? "";
  return next < CORNERS ? `Click the ${what}.` : `If it is in sight, click the ${what}.`;
}

/** A length on one line with its unit and what it is right to within. */
export function unbroken(say: string): string {
  return say.replaceAll(/(\d) cm/g, "$1\u00a0cm").replaceAll(" (±", "\u00a0(±");
}

/** What a handle is called. */
export function handleName(h: Handle): string {
  if (h.of === "point") return `Point ${h.at + 1}`;
  return h.of === "corner" ? `Corner ${h.at + 1}` : `Net post ${h.at + 1}`;
}
