import { AppError, bench as program } from "../api/api";
import type { App } from "../shared/app.svelte";
import type { BenchCore } from "./core";
import type { Binding } from "../shared/keys";
import { loopFrom, loopOver, loopTo } from "./loop";
import { RATES } from "./loop";

/** The keys for playing: speed, loops, fields, and a recording that still runs. */
export function playKeys(b: BenchCore, notify: (say: string, wrong?: boolean) => void): readonly Binding[] {
  const k = b.app.keymap;
  return [
    k.bind("fieldBack", (r) => stepField(b, -1, r, notify)),
    k.bind("fieldOn", (r) => stepField(b, 1, r, notify)),
    k.bind("slower", () => changeRate(b, -1, notify)),
    k.bind("faster", () => changeRate(b, 1, notify)),
    k.bind("loopFrom", () => setLoop(b, "from", notify)),
    k.bind("loopTo", () => setLoop(b, "to", notify)),
    k.bind("loop", () => toggleLoop(b, notify)),
    k.bind("readOn", () => void readOn(b, notify)),
  ];
}

function stepField(b: BenchCore, by: 1 | -1, repeat: boolean, notify: (say: string, wrong?: boolean) => void): void {
  if (!b.viewer) return;
  if (b.viewer.clip.interlaced) b.viewer.stepField(by, repeat);
  else notify("This clip is not interlaced: each frame is one moment, step with ← and →.");
}

function changeRate(b: BenchCore, by: 1 | -1, notify: (say: string) => void): void {
  const next = b.viewer && RATES[RATES.indexOf(b.viewer.rate) + by];
  if (!next) return;
  b.viewer?.setRate(next);
  notify(`Speed ${next}×.`);
}

function setLoop(b: BenchCore, end: "from" | "to", notify: (say: string, wrong?: boolean) => void): void {
  const v = b.viewer;
  if (!v) return;
  v.loop = end === "from" ? loopFrom(v.current, v.loop, v.frames) : loopTo(v.current, v.loop);
  notify(`Playing loops from ${b.at(v.loop.first)} to ${b.at(v.loop.last)}; * ends it.`);
}

/** Loops over the turn at this frame; ends a loop over it, or any where that is meant. */
export function toggleLoop(b: BenchCore, notify: (say: string, wrong?: boolean) => void, end = false): void {
  const v = b.viewer;
  if (!v) return;
  const loop = b.turn && !end ? loopOver(b.turn, v.loop) : null;
  if (!loop && !v.loop) {
    notify("There is no turn here to loop over: go into one, or set a loop with ( and ).", true);
    return;
  }
  v.loop = loop;
  notify(loop ? `Playing loops over this turn, frames ${loop.first} to ${loop.last}; * ends it.` : "The loop is ended.");
}

/** Takes over what a recording has got since it was listed. */
export async function readOn(b: BenchCore, notify: (say: string, wrong?: boolean) => void): Promise<void> {
  const v = b.viewer;
  if (!v) return;
  try {
    if (!v.grown && !(await program.grown(v.clip.clip.id))) {
      notify("The file of this clip has not grown: there is nothing more to read.");
      return;
    }
    await v.readOn();
    notify("The rest of the recording is there now; all marks are where they were.");
  } catch (cause) {
    notify(AppError.from(cause).sentence, true);
  }
}

/** Opens the clip on the bench by another of its videos or sounds, counted from 1. */
export async function choose(app: App, b: BenchCore, part: "video" | "sound", place: number): Promise<void> {
  const v = b.viewer;
  if (!v) return;
  const clip = v.clip.clip.id;
  v.pause();
  const done = await app.attempt(async () => {
    await program.choose(clip, part === "video" ? place : 0, part === "sound" ? place : 0);
  });
  if (!done) return;
  const frame = part === "sound" ? v.current : 0;
  b.close();
  await b.open({ clip, frame });
}
