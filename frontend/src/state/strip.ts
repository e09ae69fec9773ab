// Where things stand on the sound strip: clip time to pixels and back.

export interface Span {
  from: number;
  to: number;
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

export function toX(s: Span, width: number, seconds: number): number {
  return ((seconds - s.from) / (s.to - s.from)) * width;
}

export function toSeconds(s: Span, width: number, x: number): number {
  return s.from + (Math.max(0, Math.min(x, width)) / Math.max(width, 1)) * (s.to - s.from);
}

/** Loudest of the envelope's bins that fall on pixel x. */
export function peak(envelope: Float32Array, end: number, s: Span, width: number, x: number): number {
  const bins = envelope.length;
  if (bins === 0 || end <= 0) return 0;
  const a = Math.floor((toSeconds(s, width, x) / end) * bins);
  const b = Math.max(a, Math.ceil((toSeconds(s, width, x + 1) / end) * bins) - 1);
  let loudest = 0;
  for (let i = Math.max(0, a); i <= b && i < bins; i++) loudest = Math.max(loudest, envelope[i] ?? 0);
  return loudest;
}
