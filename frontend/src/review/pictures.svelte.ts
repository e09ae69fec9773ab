import { pictures as program } from "../api/api";
import type { Adjustment } from "../api/domain";
import type { BenchCore } from "./core";
import { AS_FILED, type Light } from "./framing.svelte";

/** How the pictures of the clip on the bench are shown. */
export class Pictures {
  /** How the clip is shown can be changed: its panel is open. */
  adjusting = $state(false);
  #clip = "";

  constructor(readonly bench: BenchCore) {}

  /** Reads it for the clip that is open now; nothing where none is. */
  async refresh(): Promise<void> {
    const clip = this.bench.viewer?.clip.clip.id ?? "";
    if (clip !== this.#clip) this.adjusting = false;
    this.#clip = clip;
    if (clip === "") return;
    await this.bench.app.attempt(async () => {
      const kept = await program.of(clip);
      if (this.#clip === clip) this.bench.viewer?.framing.show(kept);
    });
  }

  /** Shows the clip otherwise at once, without keeping it. */
  try(change: Partial<Light>): void {
    const { viewer } = this.bench;
    viewer?.framing.show({ ...viewer.framing.light, ...change });
  }

  /** Rotates the picture by quarters clockwise, as it is seen. */
  rotate(by: number): Promise<void> {
    const light = this.bench.viewer?.framing.light ?? AS_FILED;
    return this.keep({ rotation: (light.rotation + by + 4) % 4 });
  }

  /** Mirrors the picture left to right, as it is seen: a mirror goes before the rotation, which then goes the other way. */
  mirror(): Promise<void> {
    const light = this.bench.viewer?.framing.light ?? AS_FILED;
    return this.keep({ mirror: !light.mirror, rotation: (4 - light.rotation) % 4 });
  }

  reset(): Promise<void> {
    return this.keep(AS_FILED);
  }

  /** Shows the clip otherwise from now on. */
  async keep(change: Partial<Light>): Promise<void> {
    this.try(change);
    const light = this.bench.viewer?.framing.light;
    if (!light) return;
    await this.bench.write(
      (clip) => program.adjust(clip, { id: clip, clip_id: clip, ...light } satisfies Adjustment),
      () => "Saved: the clip is shown so from now on, also in pages and films.",
    );
    await this.refresh();
  }
}
