import { catalogue, measures as program, on } from "../api/api";
import { MEASURES, type Fault, type Id, type Measure, type MeasuredStroke, type MeasuringProgress, type PicturePlace } from "../api/domain";
import type { Dot } from "../shared/dots";
import { faultsOf, saidOf, toldBy } from "../shared/measures";
import type { BenchCore } from "./core";

/** While strokes are measured, what is known is fetched at most this often, milliseconds. */
const OFTEN = 2000;

const NOTHING: MeasuringProgress = { state: "", done: 0, all: 0, say: "" };

/** A measure, with the fault that goes with it where there is one. */
export interface MeasureRow {
  measure: Measure;
  fault: Fault | null;
  dots: readonly Dot[];
}

/** What is measured of the strokes of the clip on the bench. */
export class Measuring {
  progress = $state.raw<MeasuringProgress>(NOTHING);
  strokes = $state.raw<readonly MeasuredStroke[]>([]);
  /** Joints are drawn on the picture. */
  drawn = $state(true);
  /** The near player in the picture on show, as lines in its pixels. */
  body = $state.raw<readonly (readonly PicturePlace[])[]>([]);

  #clip: Id = "";
  #asked = 0;
  #fetched = 0;
  #drawing = 0;

  constructor(private readonly bench: BenchCore) {}

  readonly rows = $derived.by<MeasureRow[]>(() =>
    MEASURES.flatMap((measure) => {
      const faults = faultsOf(measure, this.bench.app.faults);
      const of: (Fault | null)[] = faults.length > 0 ? faults : [null];
      return of.map((fault) => ({ measure, fault, dots: this.#dots(measure, fault) }));
    }),
  );

  #dots(measure: Measure, fault: Fault | null): Dot[] {
    const by = toldBy(measure, fault, this.bench.app.faults);
    return this.strokes.flatMap((s) => {
      const v = s.values.find((o) => o.measure === measure);
      if (!v) return [];
      return {
        key: String(s.frame),
        name: `Frame ${s.frame}`,
        at: v.at,
        half: v.half,
        said: saidOf(s, by),
        byCoach: v.by_coach,
        suggested: s.suggestions.some((o) => o.fault_id === fault?.id),
      };
    });
  }

  /** Looks at the strokes and, with them, at the turns in which strokes are proposed; or stops. */
  async toggle(): Promise<void> {
    if (this.progress.state === "running") return this.stop();
    await this.refresh();
    await this.watch();
  }

  /** Follows the program's news and calls `more` after each refresh; returns how to stop. */
  follow(more: () => void): () => void {
    return on("measured", (e) => {
      if (e.clip_id !== this.#clip) return;
      this.progress = e;
      if (e.state === "failed") this.bench.notify(e.say, true);
      if (e.state === "running" && performance.now() - this.#fetched < OFTEN) return;
      void this.refresh().then(more);
    });
  }

  /** Reads what is known of the clip on the bench. */
  async refresh(): Promise<void> {
    const clip = this.bench.clip?.id ?? "";
    if (clip !== this.#clip) this.close();
    this.#clip = clip;
    if (!clip) return;
    const mine = ++this.#asked;
    this.#fetched = performance.now();
    await this.bench.app.attempt(async () => {
      const now = await program.read(clip);
      if (mine !== this.#asked) return;
      this.progress = now.progress;
      this.strokes = now.strokes;
    });
  }

  /** Draws the near player of a frame, where its picture was looked at. */
  async draw(frame: number): Promise<void> {
    const mine = ++this.#drawing;
    this.body = [];
    if (!this.drawn || this.strokes.length === 0) return;
    const body = await program.body(this.#clip, frame).catch(() => []);
    if (mine === this.#drawing) this.body = body;
  }

  close(): void {
    this.#asked++;
    this.#drawing++;
    this.body = [];
    this.#clip = "";
    this.progress = NOTHING;
    this.strokes = [];
  }

  async watch(): Promise<void> {
    const clip = this.#clip;
    await this.bench.app.attempt(async () => {
      const now = await program.watch(clip);
      if (clip === this.#clip && this.progress.state !== "done") this.progress = now;
    });
  }

  async stop(): Promise<void> {
    await this.bench.app.attempt(async () => {
      await program.stop();
    });
    await this.refresh();
  }

  /** Keeps a fault's limit; 0 is none. */
  async setLimit(fault: Fault, limit: number): Promise<void> {
    const app = this.bench.app;
    await app.write(
      () => catalogue.saveFault({ ...fault, limit }),
      (f) => (f.limit ? `The limit of ${f.code} is ${f.limit} now.` : `${f.code} has no limit any more.`),
      { reread: () => app.reloadCatalogue() },
    );
    await this.refresh();
  }

  /** Keeps the limit that the marks of this clip tell. */
  async limitFromMarks(fault: Fault): Promise<void> {
    let limit = 0;
    const told = await this.bench.app.attempt(async () => {
      limit = await program.limit(this.#clip, fault.id);
    });
    if (told) await this.setLimit(fault, limit);
  }
}
