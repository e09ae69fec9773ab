import { definitions } from "../api/api";
import type { DefinedFault, Fault, Id } from "../api/domain";
import type { App } from "../shared/app.svelte";

/** What a fault means, shown beside the picture while faults are marked. */
export class Meaning {
  on = $state(false);
  /** The fault whose key the pointer is on, or the focus; "" where on none. */
  pointed = $state<Id>("");
  rows = $state.raw<readonly DefinedFault[]>([]);

  toggle(): void {
    this.on = !this.on;
  }

  async load(app: App): Promise<void> {
    await app.attempt(async () => {
      this.rows = await definitions.list();
    });
  }

  /** What the key of a fault on the screen gets, so that pointing at it or the focus on it shows what it means. */
  key(f: Fault) {
    const away = () => {
      if (this.pointed === f.id) this.pointed = "";
    };
    return {
      onpointerenter: () => (this.pointed = f.id),
      onpointerleave: away,
      onfocus: (e: FocusEvent & { currentTarget: HTMLElement }) => {
        if (e.currentTarget.matches(":focus-visible")) this.pointed = f.id;
      },
      onblur: away,
    };
  }
}
