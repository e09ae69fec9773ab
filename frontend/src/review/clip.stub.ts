import type { Mark } from "../api/domain";

/** A clip of so many pictures at 50 a second, with nothing in it. */
export function stubClip(frames: number) {
  return {
    id: "c",
    session_id: "s",
    name: "c.mp4",
    path: "",
    seconds: frames / 50,
    frames,
    width: 64,
    height: 36,
    missing: false,
    turns: 0,
    strokes: 0,
    marks: 0,
    unlooked: 0,
    players: [],
  };
}

/** What opening such a clip answers. */
export function stubOpened(clip: ReturnType<typeof stubClip>, sound: boolean) {
  return {
    clip,
    width: clip.width,
    height: clip.height,
    frames: clip.frames,
    complete: true,
    base: { num: 1, den: 50 },
    sound,
    notices: [],
    cameras: { main_id: "", main_name: "", views: [], own: false },
    interlaced: false,
    slowness: 1,
    seconds: clip.seconds,
    adjusted: { id: "", clip_id: "", rotation: 0, mirror: false, brightness: 0, contrast: 0, gamma: 0 },
    videos: [],
    sounds: [],
  };
}

/** The n-th mark that a coach made by hand. */
export function stubMark(n: number, clipId: string, frame: number, fault: string): Mark {
  return {
    id: `m${n}`,
    clip_id: clipId,
    fault_id: fault,
    coach_id: "k",
    frame,
    ticks: frame,
    source: "hand",
    confidence: 1,
    made: "",
  };
}

/** Lets everything that waits go on. */
export async function flush(): Promise<void> {
  for (let i = 0; i < 20; i++) await new Promise<void>((r) => setTimeout(r, 0));
}
