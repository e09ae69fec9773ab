// Pictures, sound and what was heard come by GET, as bytes. Nothing else knows
// the addresses.
import { AppError } from "./api";
import type { Id } from "./domain";

/** One sharp sound, clip time. `near` is the louder of the two players. */
export interface Onset {
  seconds: number;
  kind: "racket" | "bounce" | "other";
  who: "" | "near" | "far";
  confidence: number;
}

const little = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1;

function clipAddress(clip: Id): string {
  return `/media/clip/${encodeURIComponent(clip)}`;
}

/** How a frame is asked for beside its number. */
interface FrameAsked {
  /** Pixels of the JPEG at most. */
  width: number;
  /** 1 or 2 is that moment of an interlaced picture alone. */
  field?: number;
  /** A page may show again what it has from an address: where a file's pictures may have changed, another edition asks anew. */
  edition?: string;
  /** This part alone, in pixels of the picture as it is shown. */
  part?: { x: number; y: number; width: number; height: number } | null;
  /** Rotation, mirror, brightness, contrast, gamma; else as is kept. */
  adjust?: string;
  /** Of the clip as it is open a second time, for another place in it at the same time. */
  second?: boolean;
}

/** Address of frame n as a JPEG. */
export function frameAddress(clip: Id, n: number, { width, field, edition, part, adjust, second }: FrameAsked): string {
  return (
    `${clipAddress(clip)}/frame/${n}?w=${width}` +
    (part ? `&part=${part.x},${part.y},${part.width},${part.height}` : "") +
    (adjust ? `&adjust=${adjust}` : "") +
    (field ? `&field=${field}` : "") +
    (second ? "&second=1" : "") +
    (edition ? `&edition=${edition}` : "")
  );
}

async function bytes(address: string, signal?: AbortSignal): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(address, signal ? { signal } : {});
  } catch (cause) {
    if (signal?.aborted) throw cause;
    throw new AppError("gone", "", "The picture could not be read: try again, or open the clip again.");
  }
  if (!answer.ok) {
    const text = (await answer.text()).trim();
    throw new AppError(
      answer.status === 504 ? "slow" : "problem",
      "",
      text || `The clip gave no answer (${answer.status}): open it again.`,
    );
  }
  return answer;
}

/** Why an address of a frame gives no picture. */
export async function frameTrouble(address: string): Promise<AppError> {
  try {
    await bytes(address);
  } catch (cause) {
    return AppError.from(cause);
  }
  return new AppError("problem", "", "This picture could not be drawn: step on, and back to it.");
}

/** For how many seconds the clip's drive has not answered a call; 0 where none is under way. */
export async function stalledFor(clip: Id): Promise<number> {
  return doubles(await (await bytes(`${clipAddress(clip)}/drive`)).arrayBuffer())[0] ?? 0;
}

/** Clip time of every frame indexed so far, in seconds. */
export async function times(clip: Id): Promise<Float64Array> {
  return doubles(await (await bytes(`${clipAddress(clip)}/times`)).arrayBuffer());
}

function doubles(b: ArrayBuffer): Float64Array {
  if (little) return new Float64Array(b);
  const view = new DataView(b);
  return Float64Array.from({ length: b.byteLength / 8 }, (_, i) => view.getFloat64(i * 8, true));
}

function floats(b: ArrayBuffer): Float32Array<ArrayBuffer> {
  if (little) return new Float32Array(b);
  const view = new DataView(b);
  return Float32Array.from({ length: b.byteLength / 4 }, (_, i) => view.getFloat32(i * 4, true));
}

/** Loudest sample heard so far, 0 to 1, in each of `bins` equal parts of a stretch of the clip. */
export async function envelope(clip: Id, bins: number, from: number, to: number): Promise<Float32Array> {
  return floats(await (await bytes(`${clipAddress(clip)}/envelope?bins=${bins}&from=${from}&to=${to}`)).arrayBuffer());
}

/** Everything that was heard so far, in order of time. */
export async function onsets(clip: Id): Promise<Onset[]> {
  const rows = doubles(await (await bytes(`${clipAddress(clip)}/contacts`)).arrayBuffer());
  return Array.from({ length: rows.length / 4 }, (_, i) => ({
    seconds: rows[4 * i] ?? 0,
    kind: (["racket", "bounce", "other"] as const)[rows[4 * i + 1] ?? 2] ?? "other",
    who: (["", "near", "far"] as const)[rows[4 * i + 2] ?? 0] ?? "",
    confidence: rows[4 * i + 3] ?? 0,
  }));
}

/** Sound of a stretch of the clip, mono. `first` is the clip time of its first sample. */
export async function sound(
  clip: Id,
  from: number,
  to: number,
  rate: number,
  signal?: AbortSignal,
): Promise<{ first: number; samples: Float32Array<ArrayBuffer> }> {
  const answer = await bytes(`${clipAddress(clip)}/sound?from=${from}&to=${to}&rate=${rate}`, signal);
  const first = Number(answer.headers.get("X-First-Seconds") ?? from);
  return { first: Number.isFinite(first) ? first : from, samples: floats(await answer.arrayBuffer()) };
}

/** The next frame that the decoder passes on its way to the one that an address is of, made ready as that asks. */
export async function passing(address: string, signal: AbortSignal): Promise<number> {
  return doubles(await (await bytes(`${address}&passing=1`, signal)).arrayBuffer())[0] ?? 0;
}

/** Has a frame made ready under a number to be shown on the window itself; its width and height in pixels. */
export async function makeReady(address: string, number: number, signal: AbortSignal): Promise<[number, number]> {
  const size = doubles(await (await bytes(`${address}&ready=${number}`, signal)).arrayBuffer());
  return [size[0] ?? 0, size[1] ?? 0];
}
