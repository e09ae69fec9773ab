// What a drawing looks like in a picture of some size, as internal/picture/outline.go makes
// it for pages and films; internal/picture/testdata/outlines.json holds both to it.
import type { Drawing, PicturePlace, Sign } from "../api/domain";

/** A drawing in the pixels of a picture: lines through places, and a text round its middle. */
interface Outline {
  lines: PicturePlace[][];
  label: string;
  at: PicturePlace;
}

/** What of a drawing says how it looks. */
export type Shape = Pick<Drawing, "kind" | "places" | "text">;

/** How thick lines are in a picture of that size, pixels. */
function thickness(width: number, height: number): number {
  return Math.max(2, Math.min(width, height) / 120);
}

/** How large letters are in a picture of that size, pixels. */
export function letterSize(width: number, height: number): number {
  return Math.max(11, Math.min(width, height) / 24);
}

const LETTER_WIDE = 0.56;
const BARB = 0.45;
const ROUNDNESS = 96;

const apart = (a: PicturePlace, b: PicturePlace) => Math.hypot(b.x - a.x, b.y - a.y);

/** The angle between two lines from a place in the plane of the picture, 0 to 180 degrees. */
function degrees(at: PicturePlace, a: PicturePlace, b: PicturePlace): number {
  const [ax, ay, bx, by] = [a.x - at.x, a.y - at.y, b.x - at.x, b.y - at.y];
  return (Math.atan2(Math.abs(ax * by - ay * bx), ax * bx + ay * by) * 180) / Math.PI;
}

function arc(at: PicturePlace, r: number, from: number, by: number): PicturePlace[] {
  const sides = Math.max(2, Math.ceil((Math.abs(by) / (2 * Math.PI)) * ROUNDNESS));
  return Array.from({ length: sides + 1 }, (_, i) => {
    const a = from + (by * i) / sides;
    return { x: at.x + r * Math.cos(a), y: at.y + r * Math.sin(a) };
  });
}

function head(from: PicturePlace, to: PicturePlace, most: number): PicturePlace[] {
  const size = Math.min(most, apart(from, to) / 2);
  const way = Math.atan2(to.y - from.y, to.x - from.x);
  const side = (by: number) => ({ x: to.x - size * Math.cos(way + by), y: to.y - size * Math.sin(way + by) });
  return [side(BARB), to, side(-BARB)];
}

/** A turn by the shorter way, -π to π, as Go's math.Remainder. */
function shorter(by: number): number {
  const whole = by / (2 * Math.PI);
  const low = Math.floor(whole);
  const rest = whole - low;
  const nearest = rest < 0.5 ? low : rest > 0.5 ? low + 1 : low % 2 === 0 ? low : low + 1;
  return by - nearest * 2 * Math.PI;
}

function angle(at: PicturePlace, a: PicturePlace, b: PicturePlace, letter: number): Outline {
  const from = Math.atan2(a.y - at.y, a.x - at.x);
  const by = shorter(Math.atan2(b.y - at.y, b.x - at.x) - from);
  const r = Math.min(apart(at, a), apart(at, b)) * 0.4;
  const label = `${Math.round(degrees(at, a, b))}° in the picture`;
  // So far out that the lines are as little covered as can be.
  const out = r + 1.5 * letter + halfWide(label, letter) * Math.abs(Math.cos(from + by / 2));
  return {
    lines: [[a, at, b], arc(at, r, from, by)],
    label,
    at: { x: at.x + out * Math.cos(from + by / 2), y: at.y + out * Math.sin(from + by / 2) },
  };
}

/** A shape in a picture of so many pixels, in which its places lie at parts of width and height. */
export function outline(s: Shape, width: number, height: number): Outline {
  const places = s.places.map((p) => ({ x: p.x * width, y: p.y * height }));
  const [a, b, c] = places;
  const none: Outline = { lines: [], label: "", at: { x: 0, y: 0 } };
  if (s.kind === "text") return a ? inside({ ...none, label: s.text ?? "", at: a }, width, height) : none;
  if (!a || !b) return none;
  switch (s.kind) {
    case "circle":
      return { ...none, lines: [arc(a, apart(a, b), 0, 2 * Math.PI)] };
    case "angle":
      return c ? inside(angle(a, b, c, letterSize(width, height)), width, height) : { ...none, lines: [places] };
    case "arrow":
      return { ...none, lines: [places, head(a, b, 5 * thickness(width, height))] };
    default:
      return { ...none, lines: [places] };
  }
}

/** About half the width of a label. */
function halfWide(label: string, letter: number): number {
  return (LETTER_WIDE * letter * [...label].length) / 2;
}

/** Moves the label so that all of it is seen, where the picture is wide enough. */
function inside(o: Outline, width: number, height: number): Outline {
  const letter = letterSize(width, height);
  const half = Math.min(width / 2, halfWide(o.label, letter) + letter / 4);
  const held = (v: number, edge: number, size: number) => Math.min(Math.max(v, edge), size - edge);
  return { ...o, at: { x: held(o.at.x, half, width), y: held(o.at.y, letter * 0.75, height) } };
}

/** Lines as the path of an SVG. */
export function pathOf(lines: readonly (readonly PicturePlace[])[]): string {
  return lines.map((l) => `M${l.map((p) => `${p.x} ${p.y}`).join("L")}`).join("");
}

/** The sign of a mark as a shape. */
export function signShape(s: Sign): Shape {
  return {
    kind: s.kind,
    places: [
      { x: s.x1, y: s.y1 },
      { x: s.x2, y: s.y2 },
    ],
  };
}
