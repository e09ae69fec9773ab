// Reads the test clips' own frame number off a picture of the screen, by the
// code that testdata/manifest.json describes as picture_code: the top quarter of
// the picture holds 16 cells (1 0 1, twelve bits, odd parity), the second
// quarter their complement. Below them lies a band of red, green and blue, by
// which the picture is found on the screen.
import { run } from "./stage.mjs";

/** Decodes a PNG with ImageMagick: {width, height, at(x, y) → [r, g, b]}. */
export async function load(png) {
  const size = await run("identify", ["-format", "%w %h", png]);
  const [width, height] = size.stdout.split(" ").map(Number);
  const { stdout: rgb } = await run("convert", [png, "-alpha", "off", "-depth", "8", "rgb:-"], {
    encoding: "buffer",
    maxBuffer: 1 << 28,
  });
  return {
    width,
    height,
    at(x, y) {
      const i = 3 * (Math.floor(y) * width + Math.floor(x));
      return [rgb[i], rgb[i + 1], rgb[i + 2]];
    },
  };
}

/** Standard deviation of brightness over a rectangle: near 0 where it is blank. */
export function liveliness(image, { x, y, width, height }) {
  let n = 0;
  let sum = 0;
  let squares = 0;
  for (let j = y; j < y + height; j += 2) {
    for (let i = x; i < x + width; i += 2) {
      const v = luma(image.at(i, j));
      n++;
      sum += v;
      squares += v * v;
    }
  }
  return Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2));
}

/** How many of the pixels looked at differ by more than 24 steps, 0 to 1. */
export function difference(a, b, { x, y, width, height }) {
  let n = 0;
  let differ = 0;
  for (let j = y; j < y + height; j += 2) {
    for (let i = x; i < x + width; i += 2) {
      n++;
      if (Math.abs(luma(a.at(i, j)) - luma(b.at(i, j))) > 24) differ++;
    }
  }
  return differ / n;
}

const luma = ([r, g, b]) => (r + g + b) / 3;
const red = ([r, g, b]) => r > 140 && g < 90 && b < 90;
const green = ([r, g, b]) => g > 120 && r < 100 && b < 110;
const blue = ([r, g, b]) => b > 140 && r < 100 && g < 110;

/** Where the test picture, wider than high by `aspect`, lies on the screen. */
export function find(image, aspect) {
  let best = null;
  for (let y = 0; y < image.height; y++) {
    for (let x = 0; x < image.width; ) {
      if (!red(image.at(x, y))) {
        x++;
        continue;
      }
      const ends = [red, green, blue].reduce(
        (found, is) => {
          let end = found.at(-1);
          // Where colours meet they mix, over more pixels the larger the picture.
          for (let slack = 16; slack > 0 && end < image.width && !is(image.at(end, y)); slack--) end++;
          const begun = end;
          while (end < image.width && is(image.at(end, y))) end++;
          return [...found, end > begun ? end : NaN];
        },
        [x],
      );
      const right = ends.at(-1);
      const thirds = ends.slice(1).map((e, i) => e - ends[i]);
      const even = thirds.every((w) => Math.abs(w - (right - x) / 3) <= 0.02 * (right - x) + 3);
      if (even && right - x > 100) {
        if (!best || right - x > best.width) best = { x, width: right - x, top: y, bottom: y };
        else if (Math.abs(x - best.x) < 4) best.bottom = y;
        x = right;
      } else x++;
    }
  }
  if (!best) return null;
  const height = best.width / aspect;
  // The band covers the stretch from a half to five eighths of the height.
  return { x: best.x, y: best.top - height / 2, width: best.width, height };
}

/** The frame number that a picture in that rectangle shows. */
export function number(image, { x, y, width, height }) {
  const cell = (i, row) => luma(image.at(x + ((i + 0.5) * width) / 16, y + height * row)) > 128;
  const bits = Array.from({ length: 16 }, (_, i) => cell(i, 0.125));
  const shown = bits.map((b) => (b ? 1 : 0)).join("");
  if (bits.some((b, i) => b === cell(i, 0.375))) throw new Error(`the second row is not the complement of ${shown}`);
  if (!shown.startsWith("101")) throw new Error(`the code ${shown} does not start with 101`);
  // Odd parity, over the twelve bits and the last.
  if (bits.slice(3).filter(Boolean).length % 2 === 0) throw new Error(`the parity of ${shown} is wrong`);
  return parseInt(shown.slice(3, 15), 2);
}

/** Whether a dialog is open: its upper edge is a long line in the colour of the ball. */
export function asks(shot) {
  for (let y = 0; y < shot.height; y++) {
    for (let x = 0, long = 0; x < shot.width; x++) {
      const [r, g, b] = shot.at(x, y);
      long = Math.abs(r - 240) + Math.abs(g - 122) + Math.abs(b - 26) < 12 ? long + 1 : 0;
      if (long >= 450) return true;
    }
  }
  return false;
}
