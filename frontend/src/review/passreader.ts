import { AppError, bench as api, pass as program } from "../api/api";
import type { Id, PassTurn } from "../api/domain";
import type { BenchCore } from "./core";

/** Reads the turns of a pass, the next one ahead while the one before is shown. */
export class PassReader {
  /** The turn that was got ready; undefined for none. */
  ready: Promise<PassTurn | undefined> = Promise.resolve(undefined);

  constructor(private readonly bench: BenchCore) {}

  forget(): void {
    this.ready = Promise.resolve(undefined);
  }

  /** The turn as it was got ready, or read now; undefined where it is not in the library any more. */
  async read(id: Id, focus: readonly Id[]): Promise<PassTurn | undefined> {
    const ready = await this.ready;
    this.forget();
    if (ready?.turn_id === id && !ready.waiting) return ready;
    try {
      return await program.turn(id, focus);
    } catch (cause) {
      if (AppError.from(cause).code !== "unknown") throw cause;
      return undefined;
    }
  }

  /** Gets a turn ready, and its clip where it lies on another. */
  prepare(id: Id | undefined, focus: readonly Id[]): void {
    this.ready = this.#fetch(id, focus);
  }

  async #fetch(id: Id | undefined, focus: readonly Id[]): Promise<PassTurn | undefined> {
    if (id === undefined) return undefined;
    try {
      const turn = await program.turn(id, focus);
      if (turn.clip_id !== this.bench.clip?.id) await api.open(turn.clip_id);
      return turn;
    } catch {
      return undefined; // it is asked for again when it is shown, and then told
    }
  }
}
