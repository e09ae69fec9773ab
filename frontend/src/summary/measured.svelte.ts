import { catalogue, measures } from "../api/api";
import type { Fault, Measure, MeasuredStroke, SummaryQuery } from "../api/domain";
import type { App } from "../shared/app.svelte";
import type { Dot } from "../shared/dots";
import { dayShort } from "../shared/days";
import { faultsOf, saidOf, toldBy } from "../shared/measures";

/** The measured strokes of a choice, over all their clips. */
export class MeasuredStrokes {
  /** Null until they are asked for. */
  strokes = $state.raw<readonly MeasuredStroke[] | null>(null);
  loading = $state(false);
  #asked = 0;
  #query: SummaryQuery | null = null;

  /** changed is told where a limit is another one, of which the sheet tells. */
  constructor(
    private readonly app: App,
    private readonly changed: () => Promise<void>,
  ) {}

  async load(query: SummaryQuery): Promise<void> {
    const mine = ++this.#asked;
    this.#query = query;
    this.loading = true;
    await this.app.attempt(async () => {
      const got = await measures.strokes(query);
      if (mine === this.#asked) this.strokes = got;
    });
    if (mine === this.#asked) this.loading = false;
  }

  /** Forgets them: the choice is another one. */
  clear(): void {
    this.#asked++;
    this.strokes = null;
    this.loading = false;
  }

  /** The faults in use that go with a measure. */
  faults(measure: Measure): Fault[] {
    return faultsOf(measure, this.app.faults);
  }

  /** The strokes as dots, told apart by what was said of one fault. */
  dots(measure: Measure, fault: Fault | undefined): Dot[] {
    const by = toldBy(measure, fault, this.app.faults);
    return (this.strokes ?? []).flatMap((s, i) => {
      const v = s.values.find((o) => o.measure === measure);
      if (!v) return [];
      const suggested = s.suggestions.some((o) => o.fault_id === fault?.id);
      return {
        key: String(i),
        name: `${dayShort(s.date)}, frame ${s.frame}`,
        at: v.at,
        half: v.half,
        said: saidOf(s, by),
        byCoach: v.by_coach,
        suggested,
      };
    });
  }

  /** Opens the picture of a dot. */
  show(key: string): void {
    const s = this.strokes?.[Number(key)];
    if (s) this.app.review(s.clip_id, s.frame);
  }

  /** Keeps a fault's limit. */
  async setLimit(fault: Fault, limit: number): Promise<void> {
    const app = this.app;
    await app.write(
      () => catalogue.saveFault({ ...fault, limit }),
      (f) => `The limit of ${f.code} is ${f.limit ?? 0} now. ${app.keymap.cap("undo")} takes it back.`,
      { reread: () => app.reloadCatalogue() },
    );
    await Promise.all([this.changed(), this.#query && this.strokes ? this.load(this.#query) : null]);
  }

  /** Keeps the limit that the marks of these strokes tell. */
  async limitFromMarks(fault: Fault): Promise<void> {
    const query = this.#query;
    let limit = 0;
    const told = await this.app.attempt(async () => {
      if (query) limit = await measures.limitOver(query, fault.id);
    });
    if (told && limit > 0) await this.setLimit(fault, limit);
  }
}
