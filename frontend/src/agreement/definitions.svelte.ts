import { AppError, definitions } from "../api/api";
import type { DefinedFault, Id, ModelPicture, OlderMarks, WallQuery } from "../api/domain";
import type { App } from "../shared/app.svelte";
import { counted } from "../shared/timeline";

/** What is being written of one fault. */
interface Draft {
  fault: Id;
  counts: string;
  not: string;
}

/** What the team means by each fault, and what is being written of one. */
export class DefinitionsState {
  rows = $state.raw<DefinedFault[]>([]);
  /** The fault that is shown, by its place. */
  at = $state(0);
  /** The change that waits for what older marks mean. */
  asking = $state.raw<Draft | null>(null);
  trouble = $state("");
  /** What the page for the wall shows. */
  wall = $state.raw<WallQuery>({ faces: false, unconsented: false });
  /** It is being made. */
  making = $state(false);
  /** The address of the page that is looked at, "" for none. */
  preview = $state("");
  /** What is written and not saved yet, by fault. */
  #drafts = $state.raw<ReadonlyMap<Id, Draft>>(new Map());

  readonly shown = $derived(this.rows[this.at]);
  readonly fault = $derived.by(() => this.app.faultOf.get(this.shown?.fault_id ?? ""));
  /** The texts of the fault that is shown, as they are being written. */
  readonly draft = $derived<Draft>(
    this.#drafts.get(this.shown?.fault_id ?? "") ?? {
      fault: this.shown?.fault_id ?? "",
      counts: this.shown?.counts ?? "",
      not: this.shown?.not ?? "",
    },
  );
  readonly changed = $derived(this.draft.counts.trim() !== this.shown?.counts || this.draft.not.trim() !== this.shown.not);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    this.rows = await definitions.list();
    this.at = Math.min(this.at, Math.max(0, this.rows.length - 1));
  }

  write(change: Partial<Draft>): void {
    this.#drafts = new Map(this.#drafts).set(this.draft.fault, { ...this.draft, ...change });
    this.trouble = "";
  }

  /** Saves what is written; where there are marks already it first asks what they mean. */
  async save(older: OlderMarks | "" = ""): Promise<void> {
    const draft = this.asking ?? this.draft;
    this.asking = null;
    let refused: AppError | null = null;
    const saved = await this.app.write(
      () => definitions.define({ fault_id: draft.fault, counts: draft.counts, not: draft.not, older }),
      () => `Saved: what ${this.#code(draft.fault)} means from now on.`,
      { reread: () => this.load(), failed: (error) => (refused = error) },
    );
    if (saved) {
      const left = new Map(this.#drafts);
      left.delete(draft.fault);
      this.#drafts = left;
      return;
    }
    const error = refused as AppError | null;
    if (error?.field === "older") {
      this.app.notify("");
      this.asking = draft;
    } else this.trouble = error?.sentence ?? "";
  }

  /** Has a picture show the other, or takes it away. */
  async show(m: ModelPicture, as: "is" | "is not" | "nothing"): Promise<void> {
    const flip = as === "nothing" ? (m.is ? "is" : "is not") : as;
    await this.app.write(
      () => definitions.flip({ clip_id: m.clip_id, frame: m.frame, fault_id: m.fault_id, as: flip }),
      (now) =>
        now === "nothing"
          ? `The picture is no model of ${this.#code(m.fault_id)} any more. ${this.app.keymap.cap("undo")} brings it back.`
          : `Saved: the picture shows what ${this.#code(m.fault_id)} ${now}.`,
      { reread: () => this.load() },
    );
  }

  async look(): Promise<void> {
    this.making = true;
    await this.app.attempt(async () => {
      this.preview = await definitions.lookAtWall(this.wall);
    });
    this.making = false;
  }

  async writeWall(): Promise<void> {
    this.making = true;
    await this.app.attempt(async () => {
      const done = await definitions.writeWall(this.wall);
      this.app.wrote(done.path, done.path && `, with ${counted(done.pictures, "picture")}. ${done.say}`);
    });
    this.making = false;
  }

  #code(fault: Id): string {
    return this.app.faultOf.get(fault)?.code ?? "the fault";
  }
}
