import { SvelteMap } from "svelte/reactivity";
import { sessions } from "../api/api";
import type { ListedClip } from "../api/domain";

/** Whether a clip's file is in place; slow: its drive does not answer. */
export type Where = "here" | "gone" | "slow";

/** A clip that has moved is looked for again. */
const key = (c: ListedClip) => `${c.id} ${c.path}`;

function folder(path: string): string {
  return path.slice(0, Math.max(path.lastIndexOf("/"), path.lastIndexOf("\\")));
}

/** A drive that does not answer is asked again this often, milliseconds: the program asks a drive once at a time. */
const AGAIN = 10_000;

/** Knows which clips' files are in place. Asks for each folder separately, so that a drive that hangs delays no other, and asks such a drive again until it answers. */
export class ClipFiles {
  #known = new SvelteMap<string, Where>();
  #asked = new Set<string>();

  /** Null until the drive has answered. */
  of(clip: ListedClip): Where | null {
    return this.#known.get(key(clip)) ?? null;
  }

  /** Looks for the files of clips that were not looked for yet, or with `anew` for all. Never rejects. */
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
    // Where the call fails, the clip's picture shows the error.
    const absent = await sessions.absent(clips.map((c) => c.id)).catch(() => []);
    const lost = new Map(absent.map((a) => [a.clip_id, a.slow ? "slow" : "gone"] as const));
    for (const c of clips) {
      this.#asked.delete(key(c));
      this.#known.set(key(c), lost.get(c.id) ?? "here");
    }
    const slow = clips.filter((c) => this.of(c) === "slow");
    if (slow.length > 0)
      setTimeout(
        () =>
          void this.look(
            slow.filter((c) => this.of(c) === "slow"),
            true,
          ),
        AGAIN,
      );
  }
}
