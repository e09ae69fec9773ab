import { agreement, AppError } from "../api/api";
import type { AgreementOfAll, AgreementReport, Decided, Id, SecondAsked, SecondChoice, SecondLook } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { DefinitionsState } from "./definitions.svelte";
import { TrialsState } from "./trials.svelte";
import { nextOpen } from "./words";

/** What Agreement shows. */
export type AgreementTab = "second" | "figures" | "settle" | "definitions" | "test";

const ASKED: SecondAsked = {
  coach_id: "",
  first_id: "",
  players: [],
  drills: [],
  from: "",
  to: "",
  turns: 0,
  half: 0,
  fault_id: "",
  kappa: 0.6,
  seed: 1,
};

/** Second looks, how far coaches agree, and what is left to settle. */
export class AgreementState {
  tab = $state<AgreementTab>("second");
  looks = $state.raw<SecondLook[]>([]);
  asked = $state.raw<SecondAsked>(ASKED);
  choice = $state.raw<SecondChoice | null>(null);
  /** Why nothing can be chosen, "" where it can. */
  refused = $state("");
  first = $state<Id>("");
  second = $state<Id>("");
  report = $state.raw<AgreementReport | null>(null);
  all = $state.raw<AgreementOfAll | null>(null);
  trouble = $state("");
  /** The disagreement that is shown, by its place. */
  at = $state(0);

  /** The second look of the coach who marks that goes on. */
  readonly mine = $derived(this.looks.find((l) => l.is_mine && !l.finished));
  readonly settled = $derived(new Map(this.report?.decided.map((d) => [d.stroke_id, d]) ?? []));
  readonly shown = $derived(this.report?.disagreements[this.at]);

  readonly definitions: DefinitionsState;
  readonly trials: TrialsState;
  #asking = 0;

  constructor(private readonly app: App) {
    this.definitions = new DefinitionsState(app);
    this.trials = new TrialsState(app);
  }

  listen(): () => void {
    return this.app.onChange(() => {
      if (this.app.open && this.app.screen === "agreement") void this.load();
    });
  }

  /** Reads everything that the screen shows anew. Never fails. */
  async load(): Promise<void> {
    if (!this.app.coachOf.has(this.asked.coach_id)) this.asked = { ...ASKED, coach_id: this.app.state.coach_id, first_id: this.#other() };
    try {
      this.looks = await agreement.secondLooks();
      const done = this.looks.find((l) => l.finished);
      if (!this.app.coachOf.has(this.first) || !this.app.coachOf.has(this.second)) {
        this.first = done?.first_id ?? this.app.coaches[0]?.id ?? "";
        this.second = done?.coach_id ?? this.app.coaches[1]?.id ?? this.first;
      }
      this.trouble = "";
      await Promise.all([this.choose({}), this.compare(), this.definitions.load(), this.trials.load()]);
    } catch (cause) {
      this.trouble = AppError.from(cause).sentence;
    }
  }

  #other(): Id {
    return this.app.coaches.find((c) => c.id !== this.app.state.coach_id)?.id ?? this.app.state.coach_id;
  }

  /** Says which turns a second look would take. */
  async choose(to: Partial<SecondAsked>): Promise<void> {
    this.asked = { ...this.asked, ...to };
    const mine = ++this.#asking;
    try {
      const choice = await agreement.choose(this.asked);
      if (mine !== this.#asking) return;
      this.choice = choice;
      this.refused = "";
    } catch (cause) {
      if (mine !== this.#asking) return;
      this.choice = null;
      this.refused = AppError.from(cause).sentence;
    }
  }

  async compare(): Promise<void> {
    if (this.first === "" || this.second === "") return;
    try {
      const report = await agreement.compare({ first_id: this.first, second_id: this.second, from: "", to: "" });
      this.all = this.app.coaches.length > 2 ? await agreement.compareAll("", "") : null;
      this.report = report;
      this.at = Math.min(this.at, Math.max(0, report.disagreements.length - 1));
      this.trouble = "";
    } catch (cause) {
      this.report = null;
      this.trouble = AppError.from(cause).sentence;
    }
  }

  async begin(): Promise<void> {
    const begun = await this.app.write(
      () => agreement.begin(this.asked),
      (b) => `A second look at ${b.turns.length} turns has begun: what was marked in them is hidden.`,
    );
    if (!begun) return;
    await this.load();
    this.goOn();
  }

  /** Looks through the turns that are left. */
  goOn(): void {
    if (this.mine) this.app.startPass(this.mine.left.length > 0 ? this.mine.left : this.mine.turns, []);
  }

  async end(how: "finish" | "leave"): Promise<void> {
    const id = this.mine?.id;
    if (id === undefined) return;
    const done = await this.app.write(
      () => agreement[how](id).then(() => true),
      () =>
        how === "finish" ? "The second look is finished: it counts and is compared." : "The second look is left: nothing of it is kept.",
    );
    if (!done) return;
    if (how === "finish") this.tab = "figures";
    this.first = this.second = "";
    await this.load();
  }

  /** Settling begins at a stroke that is not settled yet, so that no key changes a decision by mistake. */
  show(tab: AgreementTab): void {
    this.tab = tab;
    if (tab === "settle" && this.report && this.shown && this.settled.has(this.shown.stroke_id))
      this.at = nextOpen(this.report.disagreements, new Set(this.settled.keys()), this.at);
  }

  walk(by: number): void {
    const n = this.report?.disagreements.length ?? 0;
    if (n > 0) this.at = (this.at + by + n) % n;
  }

  /** Settles the stroke that is shown, and goes on to the next. */
  async decide(choice: Decided, fault: Id = ""): Promise<void> {
    const shown = this.shown;
    if (!shown) return;
    const done = await this.app.write(
      () => agreement.decide({ first_id: this.first, second_id: this.second, stroke_id: shown.stroke_id, choice, fault_id: fault }),
      (d) => `Settled: ${d.faults.map((f) => this.app.faultOf.get(f)?.code ?? "?").join(", ") || "no fault"}.`,
    );
    if (!done || !this.report) return;
    const decided = [...this.report.decided.filter((d) => d.stroke_id !== done.stroke_id), done];
    this.report = { ...this.report, decided };
    this.at = nextOpen(this.report.disagreements, new Set(decided.map((d) => d.stroke_id)), this.at);
  }
}
