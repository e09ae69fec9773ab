import { bench as api, pass as program } from "../api/api";
import type { Fault, Id, PassStroke, PassTurn } from "../api/domain";
import type { BenchCore } from "./core";

/** A stroke that was shown, and the turn that it is of. */
export interface Shown {
  turn: PassTurn;
  stroke: PassStroke;
}

/** The marks of this coach on the strokes of a pass, as keys set them and as the disk follows. */
export class PassMarks {
  /** What the writes under way make of marks, by stroke and fault: whether there is one. */
  #pending = $state.raw(new Map<string, { is: boolean }>());
  /** Marks on strokes that were left, by stroke and fault: their clip may not be on the bench any more. */
  #left = new Map<string, Id>();

  constructor(private readonly bench: BenchCore) {}

  clear(): void {
    this.#pending = new Map();
    this.#left = new Map();
  }

  /** Remembers the marks on a stroke that is gone on from. */
  leave(shown: Shown, faults: readonly Fault[]): void {
    for (const f of faults) {
      const id = this.#markOf(shown, f);
      if (id !== undefined) this.#left.set(shown.stroke.id + f.id, id);
    }
  }

  has(shown: Shown, fault: Fault): boolean {
    return this.#pending.get(shown.stroke.id + fault.id)?.is ?? this.#markOf(shown, fault) !== undefined;
  }

  /** Marks a fault at a frame, or where it is plain to see where that is below 0; takes the mark off where there is one. */
  async toggle(shown: Shown, fault: Fault, frame: number, place: string): Promise<void> {
    const key = shown.stroke.id + fault.id;
    const mine = { is: !this.has(shown, fault) };
    this.#pending = new Map(this.#pending).set(key, mine);
    if (mine.is) {
      await this.write(
        () => program.mark(shown.stroke.id, fault.id, frame).then((m) => void this.#left.set(key, m.id)),
        () => `Saved: ${fault.code} on ${place}.`,
      );
    } else {
      await this.write(
        async () => {
          const id = this.#markOf(shown, fault);
          if (id !== undefined) await api.removeMark(id);
          this.#left.delete(key);
        },
        () => `Taken off: ${fault.code} on ${place}.`,
      );
    }
    if (this.#pending.get(key) !== mine) return; // a later key has its own say
    const pending = new Map(this.#pending);
    pending.delete(key);
    this.#pending = pending;
  }

  /** Marks a fault in a turn without strokes: at a held frame (rate 0), or at one that was played. */
  async loose(fault: Fault, frame: number, rate: number): Promise<void> {
    const still = this.bench.viewer?.stands.stood() ?? 0;
    await this.bench.write(
      (clip) => (rate === 0 ? api.addMark(clip, frame, fault.id) : api.markPlayed(clip, frame, fault.id, rate, still).then((p) => p.mark)),
      (m) => `Saved: ${fault.code} at ${this.bench.at(m.frame)}.`,
    );
  }

  /** Writes also while no clip is on the bench: a late key may come when the next one is being opened. */
  write<T>(work: () => Promise<T>, done: (result: T) => string): Promise<T | undefined> {
    return this.bench.clip ? this.bench.write(work, done) : this.bench.app.write(work, done);
  }

  /** This coach's mark of a fault on a stroke. */
  #markOf({ turn, stroke }: Shown, fault: Fault): Id | undefined {
    const { ledger, app, clip } = this.bench;
    if (clip?.id !== turn.clip_id) return this.#left.get(stroke.id + fault.id);
    return ledger.marks.find((m) => m.fault_id === fault.id && m.coach_id === app.state.coach_id && ledger.hangs_on[m.id] === stroke.id)
      ?.id;
  }
}
