import { SvelteMap } from "svelte/reactivity";
import { sessions } from "../api/api";
import type { ListedClip } from "../api/domain";

/** What became of a clip's file: slow means that its drive does not answer. */
export type Where = "here" | "gone" | "slow";

/** A file is another one where the clip has moved. */
const key = (c: ListedClip) => `${c.id} ${c.path}`;

function folder(path: string): string {
  return path.slice(0, Math.max(path.lastIndexOf("/"), path.lastIndexOf("\\")));
}

/** Where the files of clips are. Each folder is asked for by itself: one on a drive that hangs keeps no other waiting. */
export class ClipFiles {
  #known = new SvelteMap<string, Where>();
  #asked = new Set<string>();

  /** Null while nobody knows yet. */
  of(clip: ListedClip): Where | null {
    return this.#known.get(key(clip)) ?? null;
  }

  /** Looks for the files of those clips of which it is not known; `anew`, of all. Never fails. */
  async look(clips: readonly ListedClip[], anew = false): Promise<void> {
    const folders = new Map<string, ListedClip[]>();
    for (const c of clips) {
      if (this.#asked.has(key(c)) || (!anew && this.#known.has(key(c)))) continue;
      const some = folders.get(folder(c.path));
      if (some) some.push(c);
      else folders.set(folder(c.path), [c]);
    }
    await Promise.all([...folders.values()].map((some) => this.#ask(some)));
  }

  async #ask(clips: readonly ListedClip[]): Promise<void> {
    for (const c of clips) this.#asked.add(key(c));
    // Where the question itself fails, the picture of the clip will tell.
    const absent = await sessions.absent(clips.map((c) => c.id)).catch(() => []);
    const lost = new Map(absent.map((a) => [a.clip_id, a.slow ? "slow" : "gone"] as const));
    for (const c of clips) {
      this.#asked.delete(key(c));
      this.#known.set(key(c), lost.get(c.id) ?? "here");
    }
  }
}
