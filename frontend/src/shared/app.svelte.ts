import { createContext } from "svelte";
import { AppError, catalogue, library, on, ownWindow } from "../api/api";
import type { Catalogue, Change, Coach, Drill, Fault, Id, LibraryState, Player } from "../api/domain";
import { Keyboard, type Binding } from "./keys";
import { Keymap } from "./keymap.svelte";
import { placeKept } from "./lastplace";
import { Likes } from "./likes.svelte";
import { TextSize } from "./textsize.svelte";
import { isolated } from "./isolate";

export type ScreenName = "sessions" | "review" | "summary" | "agreement" | "club";

interface Message {
  text: string;
  wrong: boolean;
  /** What was written, to be opened; "" for nothing. */
  path?: string;
}

/** How one write differs from the plain ones. */
export interface Writing<T> {
  /** Gets the error in place of the message line. */
  failed?: (error: AppError) => void;
  /** Message meanwhile. */
  waiting?: string;
  /** Reads again what the write has changed, before it is called saved; where it fails, that is said, and the write stands. */
  reread?: (result: T) => Promise<void>;
}

/** What Club shows. */
export type ClubTab = "players" | "drills" | "faults" | "coaches" | "library";

/** Where Review shall open: a clip and, if not -1, its frame. */
export interface Place {
  clip: Id;
  frame: number;
  /** The entry to select there. */
  entry?: Id;
}

const NO_LIBRARY: LibraryState = {
  dir: "",
  name: "",
  read_only: false,
  warning: "",
  coach_id: "",
  undo: "",
  redo: "",
  demo: false,
  blind: false,
  tested: false,
  nameless: false,
};

function byId<T extends { id: Id }>(rows: readonly T[]): Map<Id, T> {
  return new Map(rows.map((r) => [r.id, r]));
}

/** What every screen shares: the open library, its catalogue, the message line. */
export class App {
  readonly keyboard = new Keyboard();
  readonly likes = new Likes((cause) => this.notify(AppError.from(cause).sentence, true));
  readonly keymap = new Keymap(this.likes);
  readonly textSize = new TextSize(this.likes);

  state = $state.raw<LibraryState>(NO_LIBRARY);
  catalogue = $state.raw<Catalogue>({ coaches: [], players: [], drills: [], faults: [] });
  screen = $state<ScreenName>("sessions");
  message = $state.raw<Message>({ text: "", wrong: false });
  /** Writes under way. */
  writing = $state(0);
  /** Shown while a write is under way. */
  waiting = $state("");
  started = $state(false);
  /** The invented club is being drawn or opened. */
  inventing = $state(false);
  helpOpen = $state(false);
  /** The chapter that the guide opens at, "" that of the screen; null while it is closed. */
  guide = $state<string | null>(null);
  /** The window is over all of the screen. */
  full = $state(false);
  place = $state.raw<Place | null>(null);
  /** The player whom Club shall open, "" for nobody. */
  player = $state<Id>("");
  clubTab = $state<ClubTab>("players");

  readonly open = $derived(this.state.dir !== "");
  readonly coach = $derived(this.catalogue.coaches.find((c) => c.id === this.state.coach_id));
  readonly coaches = $derived<Coach[]>(this.catalogue.coaches.filter((c) => !c.retired));
  readonly faults = $derived<Fault[]>(this.catalogue.faults.filter((f) => !f.retired));
  readonly faultOf = $derived(byId<Fault>(this.catalogue.faults));
  readonly playerOf = $derived(byId<Player>(this.catalogue.players));
  readonly drillOf = $derived(byId<Drill>(this.catalogue.drills));
  readonly coachOf = $derived(byId<Coach>(this.catalogue.coaches));

  /** Saves a change that is shown and not saved yet, so that undo takes it back first. */
  flush: () => Promise<void> = () => Promise.resolve();

  /** Starts a pass over turns, looking for some faults, or for all in use where none are given. The bench sets it. */
  startPass: (turns: Id[], focus: Id[]) => void = () => {};

  #changes = new Set<(change: Change | null) => void>();
  #queue: Promise<unknown> = Promise.resolve();

  async start(): Promise<void> {
    on("changed", () => {
      void this.reload();
    });
    await Promise.all([this.reload(), this.likes.load()]);
    this.place = placeKept(this.likes, this.state.dir);
    this.started = true;
  }

  async reload(): Promise<void> {
    await this.attempt(async () => {
      const before = this.state.warning;
      this.state = await library.state();
      if (this.state.dir !== "") this.catalogue = await catalogue.get();
      // Shown once: later messages must stay readable.
      if (this.state.warning !== "" && this.state.warning !== before) this.notify(this.state.warning, true);
    });
    for (const heard of this.#changes) heard(null);
  }

  /** Calls back after undo and redo, with what changed, and after a change by another program, with null; returns how to stop. */
  onChange(heard: (change: Change | null) => void): () => void {
    this.#changes.add(heard);
    return () => this.#changes.delete(heard);
  }

  notify(text: string, wrong = false): void {
    this.message = { text, wrong };
  }

  /** Says that a document was written, with what opens it; a path of "" is none. */
  wrote(path: string, more = ""): void {
    this.message = path === "" ? { text: "Nothing was written.", wrong: false } : { text: `Written: ${path}${more}`, wrong: false, path };
  }

  /** Runs work that may fail; shows the error in the message line. True where it succeeded. */
  async attempt(work: () => Promise<void>): Promise<boolean> {
    try {
      await work();
      return true;
    } catch (cause) {
      this.notify(AppError.from(cause).sentence, true);
      return false;
    }
  }

  /**
   * Writes to the library, one after the other in the order asked, and says
   * `done` only when the program has said that it is kept. Undefined where it is not.
   */
  write<T>(
    work: () => Promise<T>,
    done: (result: T) => string,
    { failed, waiting = "Saving…", reread }: Writing<T> = {},
  ): Promise<T | undefined> {
    const turn = this.#queue.then(async () => {
      this.writing++;
      this.waiting = waiting;
      try {
        const result = await work();
        const stale = await this.#after(reread?.(result));
        this.notify(`${done(result)}${stale && ` But what is shown may be old: ${stale}`}`, stale !== "");
        return result;
      } catch (cause) {
        const error = AppError.from(cause);
        // Replaces the message of the write before, which was saved.
        this.notify(failed ? "Not saved." : error.sentence, true);
        failed?.(error);
        return undefined;
      } finally {
        this.writing--;
      }
    });
    this.#queue = turn;
    return turn;
  }

  /** Resolves when all writes so far are answered. */
  get written(): Promise<unknown> {
    return this.#queue;
  }

  /** Reads what is new after a write; returns why that failed, "" where it did not. */
  async #after(reading: Promise<void> | undefined): Promise<string> {
    try {
      [this.state] = await Promise.all([library.state(), reading]);
      return "";
    } catch (cause) {
      return AppError.from(cause).sentence;
    }
  }

  async reloadCatalogue(): Promise<void> {
    this.catalogue = await catalogue.get();
  }

  chooseLibrary(): Promise<unknown> {
    return this.attempt(async () => {
      const before = this.state.dir;
      try {
        const next = await library.choose();
        if (next.dir === "" || next.dir === before) return;
      } catch (cause) {
        // A damaged library is opened too: the page offers to repair it.
        await library.state().catch(() => (this.state = NO_LIBRARY));
        throw cause;
      }
      await this.enter();
      this.notify(this.state.warning || `Opened the library ${isolated(this.state.name)}.`, this.state.warning !== "");
    });
  }

  /** Opens the invented club, which is drawn first where it is not there yet. */
  async openInvented(): Promise<void> {
    const stop = on("progress", (p) => {
      if (p.job === "invented")
        this.notify(`Drawing the invented club: ${Math.floor((100 * p.done) / Math.max(1, p.total))} %. It is drawn once.`);
    });
    this.inventing = true;
    this.notify("Opening the invented club…");
    await this.attempt(async () => {
      await library.invented();
      await this.enter();
      this.notify("This is the invented club: nobody in it is real, and nothing that you do here reaches your own library.");
    });
    this.inventing = false;
    stop();
  }

  /** Goes back from the invented club. */
  openOwn(): Promise<unknown> {
    return this.attempt(async () => {
      await library.own();
      await this.enter();
      this.notify(`Opened the library ${isolated(this.state.name)}.`);
    });
  }

  /** Shows the library that is open now, if any; the clip of the one before is closed. */
  async enter(screen: ScreenName = "sessions"): Promise<void> {
    this.place = null;
    try {
      this.state = await library.state();
      this.catalogue = await catalogue.get();
      this.screen = screen;
    } catch (cause) {
      this.state = NO_LIBRARY;
      throw cause;
    } finally {
      for (const heard of this.#changes) heard(null);
    }
  }

  setCoach(id: Id): Promise<unknown> {
    return this.attempt(async () => {
      this.state = await library.setCoach(id);
      this.notify(this.coach ? `${isolated(this.coach.name)} is marking now.` : "Nobody is marking now.");
    });
  }

  async undo(): Promise<unknown> {
    await this.flush();
    return this.#travel("undo", library.undo, "Undone");
  }

  redo(): Promise<unknown> {
    return this.#travel("redo", library.redo, "Done again");
  }

  #travel(way: "undo" | "redo", go: () => Promise<Change>, word: string): Promise<unknown> {
    let label = "";
    const done = (change: Change | null) => {
      if (!change) return way === "undo" ? "There is nothing to undo." : "There is nothing to do again.";
      return `${word}: ${isolated(change.label || label)}${this.#elsewhere(change) ? ", in another clip" : ""}.`;
    };
    return this.write(
      async () => {
        // Known only once all writes before are answered.
        label = this.state[way];
        return label === "" ? null : await go();
      },
      done,
      {
        reread: async (change) => {
          if (!change) return;
          if (change.catalogue) await this.reloadCatalogue();
          for (const heard of this.#changes) heard(change);
        },
      },
    );
  }

  /** Whether a change is about clips only, and none of them is on the bench that is looked at. */
  #elsewhere(change: Change): boolean {
    const here = this.place?.clip ?? "";
    return this.screen === "review" && change.clips.length > 0 && !change.clips.includes(here);
  }

  /** Opens Review at a clip, at a frame of it, with an entry selected. */
  review(clip: Id, frame = -1, entry: Id = ""): void {
    this.place = { clip, frame, entry };
    this.go("review");
  }

  /** Opens Club at a player. */
  meet(player: Id): void {
    this.player = player;
    this.clubTab = "players";
    this.go("club");
  }

  /** Says who marks in a new library; "" leaves it at that. Throws AppError for its form. */
  async nameCoach(name: string): Promise<void> {
    this.state = await library.nameCoach(name);
    this.catalogue = await catalogue.get();
    if (this.coach && name.trim() !== "") this.notify(`${isolated(this.coach.name)} is marking now.`);
  }

  /** Keys that work on every screen. */
  readonly keys: readonly Binding[] = [
    this.keymap.bind("undo", () => void this.undo()),
    this.keymap.bind("redo", () => void this.redo()),
    this.keymap.bind("sessions", () => this.go("sessions")),
    this.keymap.bind("review", () => this.go("review")),
    this.keymap.bind("summary", () => this.go("summary")),
    this.keymap.bind("club", () => this.go("club")),
    this.keymap.bind("agreement", () => this.go("agreement")),
    this.keymap.bind("fullScreen", () => this.fill(!this.full)),
    this.keymap.bind("guide", () => (this.guide = "")),
    this.keymap.bind("keys", () => (this.helpOpen = true)),
    ...this.#sizes(),
  ];

  fill(full: boolean): void {
    this.full = full;
    ownWindow.fill(full);
  }

  #sizes(): Binding[] {
    const say = (percent: number) => this.notify(`Text size ${percent} %.`);
    return [
      this.keymap.bind("textLarger", () => say(this.textSize.step(1))),
      this.keymap.bind("textSmaller", () => say(this.textSize.step(-1))),
      this.keymap.bind("textUsual", () => say(this.textSize.set(100))),
    ];
  }

  go(screen: ScreenName): void {
    if (!this.open) return;
    // What was said belongs to the screen that is left.
    if (screen !== this.screen) this.message = { text: "", wrong: false };
    this.screen = screen;
  }
}

export const [getApp, setApp] = createContext<App>();
