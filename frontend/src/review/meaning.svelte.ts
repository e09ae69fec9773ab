import { definitions } from "../api/api";
import type { DefinedFault, Fault, Id } from "../api/domain";
import type { Bench } from "./bench.svelte";
import { faultHere } from "./models";

/** What a fault means, shown beside the picture while faults are marked. */
export class Meaning {
  on = $state(false);
  #rows = $state.raw<readonly DefinedFault[]>([]);
  /** The fault whose key the pointer is on, or the focus. */
  #pointed = $state<Id>("");

  /** The fault that is shown: the one pointed at, else that of the mark here, the one marked last, or the first one. */
  readonly fault = $derived.by((): Fault | undefined => {
    const b = this.bench;
    return b.app.faultOf.get(this.#pointed) ?? faultHere(b) ?? (b.pass.active ? b.pass.faults : b.app.faults)[0];
  });
  readonly row = $derived(this.#rows.find((r) => r.fault_id === this.fault?.id));

  constructor(private readonly bench: Bench) {}

  toggle(): void {
    this.on = !this.on;
  }

  async load(): Promise<void> {
    await this.bench.app.attempt(async () => {
      this.#rows = await definitions.list();
    });
  }

  /** What the key of a fault on the screen gets, so that pointing at it or the focus on it shows what it means. */
  key(f: Fault) {
    const away = () => {
      if (this.#pointed === f.id) this.#pointed = "";
    };
    return {
      onpointerenter: () => (this.#pointed = f.id),
      onpointerleave: away,
      onfocus: (e: FocusEvent & { currentTarget: HTMLElement }) => {
        if (e.currentTarget.matches(":focus-visible")) this.#pointed = f.id;
      },
      onblur: away,
    };
  }
}
