import { trials } from "../api/api";
import type { Id, SelfTest } from "../api/domain";
import type { App } from "../shared/app.svelte";

/** Tests of coaches, and the one of the coach who marks that goes on. */
export class TrialsState {
  tests = $state.raw<SelfTest[]>([]);
  /** The stroke that is shown, by its place in the test that is shown. */
  at = $state(0);
  /** The test whose result is shown, "" for the latest. */
  chosen = $state<Id>("");
  seed = $state(1);
  /** What is said of the stroke that is shown and not answered yet. */
  #saying = $state.raw<{ stroke: Id; faults: readonly Id[] }>({ stroke: "", faults: [] });

  /** The test of the coach who marks that goes on. */
  readonly mine = $derived(this.tests.find((t) => t.is_open && t.is_mine));
  readonly done = $derived(this.tests.filter((t) => !t.is_open));
  readonly result = $derived(this.done.find((t) => t.id === this.chosen) ?? this.done[0]);
  readonly shown = $derived(this.mine ?? this.result);
  readonly stroke = $derived(this.shown?.strokes[this.at]);
  readonly said = $derived<readonly Id[]>(this.#saying.stroke === this.stroke?.stroke_id ? this.#saying.faults : (this.stroke?.said ?? []));
  readonly left = $derived(this.mine ? this.mine.strokes.length - this.mine.given : 0);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    this.tests = await trials.list();
    this.at = Math.min(this.at, Math.max(0, (this.shown?.strokes.length ?? 0) - 1));
  }

  walk(by: number): void {
    const n = this.shown?.strokes.length ?? 0;
    if (n > 0) this.at = (this.at + by + n) % n;
  }

  /** Says a fault of the stroke that is shown, or takes it back. */
  toggle(fault: Id): void {
    const { stroke, said } = this;
    if (!stroke || !this.mine) return;
    this.#saying = {
      stroke: stroke.stroke_id,
      faults: said.includes(fault) ? said.filter((f) => f !== fault) : [...said, fault],
    };
  }

  /** Keeps what is said of the stroke, and goes on to the next that is not answered. */
  async answer(): Promise<void> {
    const { stroke, said, mine } = this;
    if (!stroke || !mine) return;
    const kept = await this.#write(
      () => trials.answer(stroke.stroke_id, said),
      `Saved: stroke ${this.at + 1}, ${said.map((f) => this.app.faultOf.get(f)?.code ?? "?").join(", ") || "no fault"}.`,
    );
    if (!kept || !this.mine) return;
    const { strokes } = this.mine;
    for (let i = 1; i <= strokes.length; i++) {
      const next = (this.at + i) % strokes.length;
      if (strokes[next]?.given) continue;
      this.at = next;
      return;
    }
  }

  async begin(): Promise<void> {
    this.at = 0;
    await this.#write(
      () => trials.begin(this.app.state.coach_id, this.seed),
      "The test has begun: what was marked in the turns of its strokes is hidden.",
    );
  }

  async end(how: "finish" | "leave"): Promise<void> {
    this.at = 0;
    this.chosen = "";
    await this.#write(() => trials[how](), how === "finish" ? "The test is finished." : "The test is left: nothing of it is kept.");
  }

  async #write(work: () => Promise<unknown>, said: string): Promise<boolean> {
    const done = await this.app.write(
      () => work().then(() => true),
      () => said,
      { reread: () => this.load() },
    );
    return done === true;
  }
}
