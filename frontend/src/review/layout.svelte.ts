import type { BenchCore, Entry } from "./core";
import { frameOf } from "./core";

const KEPT = "lists";

/** What the layout needs to know of the bench. */
interface Listed extends Pick<BenchCore, "viewer" | "app"> {
  readonly selected: Entry | undefined;
}

/**
 * How much of the bench the picture has. Folded, the lists and the words of the
 * fault codes are put away and the picture takes their place; the list comes back
 * over the picture while somebody walks through it, and goes with the next step.
 */
export class Layout {
  /** Kept for this computer. */
  readonly folded = $derived.by(() => this.bench.app.likes.get(KEPT) === "");
  #walking = $state(false);

  /** The list lies over the picture. */
  readonly listed = $derived.by(() => {
    if (!this.folded || !this.#walking) return false;
    const { selected, viewer } = this.bench;
    return selected !== undefined && viewer !== null && !viewer.playing && viewer.target === frameOf(selected);
  });

  constructor(private readonly bench: Listed) {}

  toggle(): void {
    this.bench.app.likes.keep(KEPT, this.folded ? "open" : "");
    this.#walking = false;
  }

  /** The entries are walked through: the list is needed. */
  walk(): void {
    this.#walking = true;
  }

  /** The list over the picture is no longer needed. */
  putAway(): void {
    this.#walking = false;
  }
}
