import { ACTION_IDS, ACTIONS, type ActionId } from "./actions";
import { byPlace, cap, type Binding, type Pressed } from "./keys";
import type { Likes } from "./likes.svelte";

const KEPT = "keys";

type Own = Partial<Record<ActionId, readonly string[]>>;

/** What was kept, as far as it can be understood. */
function read(kept: string): Own {
  const own: Own = {};
  try {
    const all: unknown = JSON.parse(kept || "{}");
    if (typeof all !== "object" || all === null) return own;
    for (const [id, keys] of Object.entries(all)) {
      const known = ACTION_IDS.find((a) => a === id);
      if (known && Array.isArray(keys) && keys.length > 0 && keys.every((k) => typeof k === "string")) own[known] = keys.map(String);
    }
  } catch {
    // Written by something else: the keys are those to begin with.
  }
  return own;
}

/** Whether two actions could be meant by one key: the pass has the keys to itself, and the ruler and drawing lie over the bench. */
function meet(a: ActionId, b: ActionId): boolean {
  const [here, there] = [ACTIONS[a].scope, ACTIONS[b].scope];
  if (here === there || here === "everywhere" || there === "everywhere") return true;
  const pictures = ["review", "pass", "picture", "beside", "drawing"];
  return (here === "picture" || there === "picture") && pictures.includes(here) && pictures.includes(there);
}

/** Which key does what: the table of actions with the coach's own changes. */
export class Keymap {
  readonly #own = $derived.by(() => read(this.likes.get(KEPT)));

  constructor(private readonly likes: Likes) {}

  of(id: ActionId): readonly string[] {
    return this.#own[id] ?? ACTIONS[id].keys;
  }

  changed(id: ActionId): boolean {
    return this.#own[id] !== undefined;
  }

  get anyChanged(): boolean {
    return Object.keys(this.#own).length > 0;
  }

  /** The first key of an action as printed on its cap. */
  cap(id: ActionId): string {
    return cap(this.of(id)[0] ?? "");
  }

  /** Makes an action work: its key, help and group are the table's. */
  bind(id: ActionId, run: Binding["run"]): Binding {
    const { help, group, held, dialogs } = ACTIONS[id];
    const keys = () => this.of(id);
    return {
      help,
      group,
      held: held ?? false,
      dialogs: dialogs ?? false,
      run,
      get press() {
        return keys();
      },
    };
  }

  /** Why an action cannot have what was pressed, in a sentence; "" where it can. */
  refusal(id: ActionId, pressed: Pressed): string {
    const { chord, printed } = pressed;
    if (/^[\p{L}\p{N}]$/u.test(printed) && !["todo", "settle", "drawing"].includes(ACTIONS[id].scope))
      return `Letters and digits belong to the faults of the team, set under Club: choose a sign or an F key for “${ACTIONS[id].help}”, or hold Ctrl with it.`;
    if (/^(Shift\+)?Tab$|^Escape$|^Ctrl\+[acvx]$/.test(chord))
      return `${cap(chord)} is needed in fields and dialogs: choose another key for “${ACTIONS[id].help}”.`;
    const other = ACTION_IDS.find(
      (a) =>
        a !== id &&
        meet(a, id) &&
        this.of(a).some((k) => k === chord || k === printed || (chord.includes("@") && byPlace(k) === byPlace(chord))),
    );
    return other ? `${cap(chord)} is “${ACTIONS[other].help}”: choose another key, or change that one first.` : "";
  }

  /** Gives an action one key, in the place of those that it had. */
  set(id: ActionId, chord: string): void {
    this.#keep({ ...this.#own, [id]: [chord] });
  }

  /** Gives an action the keys that it had to begin with; returns why not, "" where it is done. */
  reset(id: ActionId): string {
    for (const key of ACTIONS[id].keys) {
      const other = ACTION_IDS.find((a) => a !== id && meet(a, id) && this.of(a).includes(key));
      if (other) return `${cap(key)} is “${ACTIONS[other].help}” now: change that one first.`;
    }
    const rest = { ...this.#own };
    delete rest[id];
    this.#keep(rest);
    return "";
  }

  resetAll(): void {
    this.#keep({});
  }

  #keep(own: Own): void {
    this.likes.keep(KEPT, Object.keys(own).length > 0 ? JSON.stringify(own) : "");
  }
}
