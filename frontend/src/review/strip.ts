// Where things stand on the sound strip: clip time to pixels and back.
import type { Onset } from "../api/media";

export interface Span {
  from: number;
  to: number;
}

/** How close the strip can come: a page of two seconds shows each sound apart. */
const CLOSEST = 2;

/** The zooms of a clip: each twice as close as the one before. */
export function zooms(end: number): number[] {
  const all = [1];
  for (let z = 2; end / z >= CLOSEST; z *= 2) all.push(z);
  return all;
}

/**
 * The stretch on show at a zoom: whole pages, so that the strip stands still
 * while the playing position moves over it.
 */
export function page(end: number, zoom: number, at: number): Span {
  if (zoom <= 1 || end <= 0) return { from: 0, to: Math.max(end, 1e-3) };
  const width = end / zoom;
  const from = Math.min(Math.floor(Math.max(0, at) / width) * width, end - width);
  return { from, to: from + width };
}

/** The stretch at a zoom in which what stands at a share of the width, 0 to 1, stands there still. */
export function zoomed(end: number, s: Span, share: number, zoom: number): Span {
  const width = Math.max(end, 1e-3) / Math.max(1, zoom);
  const from = s.from + share * (s.to - s.from - width);
  const first = Math.max(0, Math.min(from, end - width));
  return { from: first, to: first + width };
}

export function toX(s: Span, width: number, seconds: number): number {
  return ((seconds - s.from) / (s.to - s.from)) * width;
}

export function toSeconds(s: Span, width: number, x: number): number {
  return s.from + (Math.max(0, Math.min(x, width)) / Math.max(width, 1)) * (s.to - s.from);
}

/** As much of a text as there is room for, with an ellipsis where it is cut; "" where not even one letter fits. */
export function fitted(text: string, room: number, wide: (text: string) => number): string {
  if (wide(text) <= room) return text;
  const letters = [...text];
  let low = 0;
  let high = letters.length;
  const cut = (n: number) => `${letters.slice(0, n).join("").trimEnd()}…`;
  while (low < high) {
    const n = Math.ceil((low + high) / 2);
    if (wide(cut(n)) <= room) low = n;
    else high = n - 1;
  }
  return low === 0 ? "" : cut(low);
}

/** Loudest of the bins, which lie evenly over their own stretch, that fall on pixel x. */
export function peak(bins: Float32Array, of: Span, s: Span, width: number, x: number): number {
  const n = bins.length;
  const length = of.to - of.from;
  if (n === 0 || length <= 0) return 0;
  const bin = (seconds: number) => ((seconds - of.from) / length) * n;
  // A pixel's edge that falls on a bin's edge must not slip into its neighbour.
  const a = Math.floor(bin(toSeconds(s, width, x)) + 1e-6);
  const b = Math.max(a, Math.ceil(bin(toSeconds(s, width, x + 1)) - 1e-6) - 1);
  let loudest = 0;
  for (let i = Math.max(0, a); i <= b && i < n; i++) loudest = Math.max(loudest, bins[i] ?? 0);
  return loudest;
}

/** The sounds of a stretch; the list is in order of time and may be long. */
export function within(onsets: readonly Onset[], s: Span): Onset[] {
  const first = (seconds: number) => {
    let low = 0;
    let high = onsets.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((onsets[middle]?.seconds ?? Infinity) < seconds) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  return onsets.slice(first(s.from), first(s.to));
}

/**
 * What of the sounds is drawn: all of them where there is room, the rackets where
 * there is some, nothing where they would be one grey band.
 */
export function drawable(onsets: readonly Onset[], width: number): readonly Onset[] {
  const roomy = (list: readonly Onset[]) => list.length * 5 <= width;
  if (roomy(onsets)) return onsets;
  const rackets = onsets.filter((n) => n.kind === "racket");
  return roomy(rackets) ? rackets : [];
}
