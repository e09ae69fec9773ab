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
  };
}
