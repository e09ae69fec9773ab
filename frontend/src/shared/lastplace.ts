import type { Likes } from "./likes.svelte";

const KEPT = "place";

/** A clip and the frame at which it stood, under the folder of its library. */
interface LastPlace {
  dir: string;
  clip: string;
  frame: number;
}

/** Keeps where the coach is for the next start. */
export function keepPlace(likes: Likes, place: LastPlace): void {
  likes.keep(KEPT, JSON.stringify(place));
}

/** Where the coach was in a library at the last start; null where that is not known, or was another library. */
export function placeKept(likes: Likes, dir: string): { clip: string; frame: number } | null {
  try {
    const kept: unknown = JSON.parse(likes.get(KEPT) || "null");
    if (typeof kept !== "object" || kept === null || !("dir" in kept) || kept.dir !== dir) return null;
    if (!("clip" in kept) || typeof kept.clip !== "string" || !("frame" in kept) || typeof kept.frame !== "number") return null;
    return { clip: kept.clip, frame: kept.frame };
  } catch {
    return null; // written by something else
  }
}
