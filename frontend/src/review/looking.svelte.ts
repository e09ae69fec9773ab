import { pass as looks } from "../api/api";
import type { Id } from "../api/domain";
import type { BenchCore } from "./core";

/** Who has looked through the turn on the bench, and one key to say so. */
export class Looking {
  constructor(private readonly bench: BenchCore) {}

  /** The faults in use that somebody has looked for in all of the turn here, by coach. */
  readonly by = $derived.by(() => {
    const turn = this.bench.turn;
    const found = new Map<Id, Set<Id>>();
    for (const l of turn ? this.bench.ledger.looks : []) {
      if (!turn || l.first > turn.first || l.last < turn.last) continue;
      const faults = found.get(l.coach_id) ?? new Set();
      l.faults.forEach((f) => faults.add(f));
      found.set(l.coach_id, faults);
    }
    return found;
  });

  /** Whether a coach has looked through the turn here for every fault in use. */
  all(coach: Id): boolean {
    const faults = this.by.get(coach);
    return faults !== undefined && this.bench.app.faults.every((f) => faults.has(f.id));
  }

  /** Says that the turn here is looked through, or takes that back. */
  async toggle(): Promise<void> {
    const turn = this.bench.turn;
    if (!turn) {
      this.bench.app.notify("No turn covers this frame: nothing can be looked through here.", true);
      return;
    }
    if (!this.bench.coachKnown()) return;
    if (this.all(this.bench.app.state.coach_id)) {
      await this.bench.write(
        () => looks.takeBack(turn.id),
        () => "Taken back: you have not looked through this turn. Its faults count only where somebody else has.",
      );
    } else {
      await this.bench.write(
        () => looks.looked(turn.id, []),
        () => "Saved: you have looked through this turn for every fault.",
      );
    }
  }
}
