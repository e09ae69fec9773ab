import type { Sign } from "../api/domain";

/** A sign as the path of an SVG over a picture of that size. */
export function signPath(s: Sign, width: number, height: number): string {
  const [x1, y1, x2, y2] = [s.x1 * width, s.y1 * height, s.x2 * width, s.y2 * height];
  const long = Math.hypot(x2 - x1, y2 - y1);
  if (s.kind === "circle") return `M${x1 - long} ${y1} a${long} ${long} 0 1 0 ${2 * long} 0 a${long} ${long} 0 1 0 ${-2 * long} 0`;
  const head = Math.min(long / 2, width / 30);
  const turn = Math.atan2(y2 - y1, x2 - x1);
  const barb = (a: number) => `M${x2} ${y2} L${x2 - head * Math.cos(turn + a)} ${y2 - head * Math.sin(turn + a)}`;
  return `M${x1} ${y1} L${x2} ${y2} ${barb(0.5)} ${barb(-0.5)}`;
}
