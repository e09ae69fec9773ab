import { bench, on, type AppError } from "../api/api";
import type { Fault, Id, Ledger, Mark, Outcome, Stroke, Turn } from "../api/domain";
import type { HeardTurn, Proposal } from "../api/domain";
import type { App, Place } from "../shared/app.svelte";
import { Cameras } from "./cameras.svelte";
import { Beside } from "./beside.svelte";
import { BurstWork } from "./burstwork.svelte";
import { Detection } from "./detection.svelte";
import { Layout } from "./layout.svelte";
import { Looking } from "./looking.svelte";
import { Meaning } from "./meaning.svelte";
import { frameOf, type BenchCore, type Entry, type Question, type TurnDraft } from "./core";
import { twice, whichStroke } from "./questions";
import { Pass } from "./pass.svelte";
import { hangNext } from "./hanging";
import { Drawings } from "./drawings.svelte";
import { Pictures } from "./pictures.svelte";
import { Measuring } from "./measuring.svelte";
import { Ruler } from "./ruler.svelte";
import { StrokeWork } from "./strokework.svelte";
import { loggedStrokes, covers, endTurn, strokeRow, streak, turnAt, type LoggedStroke, type RowStroke } from "./turns";
import { clock } from "../shared/timeline";
import { Viewer } from "./viewer.svelte";
import { isolated } from "../shared/isolate";

const EMPTY: Ledger = { turns: [], strokes: [], marks: [], looks: [], hangs_on: {} };

/** The bench of one clip: its picture, its ledger, and everything done to it. */
export class Bench implements BenchCore {
  viewer = $state.raw<Viewer | null>(null);
  ledger = $state.raw<Ledger>(EMPTY);
  selectedId = $state<Id>("");
  /** Where `[` was pressed; null where no turn is being set. */
  start = $state<number | null>(null);
  draft = $state.raw<TurnDraft | null>(null);
  /** The mark whose note is being written. */
  noting = $state.raw<Mark | null>(null);
  asking = $state(false);
  question = $state.raw<Question | null>(null);
  /** The stroke whose late return to ready waits for the fault to mark it with. */
  lateness = $state.raw<Stroke | null>(null);
  withStrokes = $state(false);
  opening = $state(false);
  /** The clip is still being scanned: there are more frames than are known. */
  scanning = $state(false);
  /** Why the clip cannot be opened, "" where it is. */
  trouble = $state("");

  readonly clip = $derived(this.viewer?.clip.clip);
  readonly frame = $derived(this.viewer ? Math.max(0, this.viewer.shown) : 0);
  readonly turn = $derived(turnAt(this.ledger.turns, this.frame));
  readonly logged = $derived<LoggedStroke[]>(this.turn ? this.strokesOf(this.turn) : []);
  readonly run = $derived(streak(this.logged.map((b) => b.stroke.outcome)));
  /** What the sound proposes for the turn here, as a coach is trying it out or as it stands. */
  readonly heard = $derived.by<HeardTurn | undefined>(() => {
    const id = this.turn?.id;
    const trial = this.detection.trial;
    if (!id) return undefined;
    return trial?.turn_id === id && !this.turn?.settled ? trial : this.detection.turns.get(id);
  });
  readonly proposals = $derived<readonly Proposal[]>(this.turn?.settled ? [] : (this.heard?.strokes ?? []));
  readonly row = $derived<RowStroke[]>(strokeRow(this.logged, this.proposals));
  readonly loose = $derived(this.ledger.marks.filter((m) => !turnAt(this.ledger.turns, m.frame)));
  /** Turns, marks and, where asked for, strokes, in the order of their frames. A selected stroke is there in any case: it can be changed. */
  readonly entries = $derived.by<Entry[]>(() => {
    const all: Entry[] = [
      ...this.ledger.turns.map((row): Entry => ({ kind: "turn", row })),
      ...this.ledger.marks.map((row): Entry => ({ kind: "mark", row })),
      ...this.ledger.strokes.filter((s) => this.withStrokes || s.id === this.selectedId).map((row): Entry => ({ kind: "stroke", row })),
    ];
    const rank = { turn: 0, stroke: 1, mark: 2 };
    return all.sort((a, b) => frameOf(a) - frameOf(b) || rank[a.kind] - rank[b.kind]);
  });
  readonly selected = $derived(this.entries.find((e) => e.row.id === this.selectedId));
  /** The stroke that the selected mark hangs on. */
  readonly holding = $derived.by<LoggedStroke | undefined>(() => {
    const e = this.selected;
    if (e?.kind !== "mark") return undefined;
    const turn = turnAt(this.ledger.turns, e.row.frame);
    return turn && this.strokesOf(turn).find((b) => b.marks.some((m) => m.id === e.row.id));
  });

  readonly detection: Detection;
  readonly strokes: StrokeWork;
  readonly pass = new Pass(this);
  readonly looking = new Looking(this);
  readonly meaning = new Meaning();
  readonly layout = new Layout(this);
  readonly cameras = new Cameras(this);
  readonly bursts = new BurstWork(this);
  readonly ruler: Ruler;
  readonly measuring = new Measuring(this);
  readonly pictures = new Pictures(this);
  readonly beside: Beside;
  readonly drawings = new Drawings(this, () => this.beside.leading ?? this.cameras.shown ?? this.viewer);

  #last: { player_id: Id; drill_id: Id } = { player_id: "", drill_id: "" };
  #opened = 0;
  /** The frame that Review was opened for, -1 once it is reached. */
  #wanted = -1;

  constructor(readonly app: App) {
    this.detection = new Detection(app);
    this.strokes = new StrokeWork(this);
    app.startPass = (turns, focus) => void this.pass.start(turns, focus);
    this.ruler = new Ruler(this);
    this.beside = new Beside(app, (place) => void this.open(place));
  }

  strokesOf(turn: Turn): LoggedStroke[] {
    const drill = this.app.drillOf.get(turn.drill_id);
    return loggedStrokes(turn, this.ledger, drill?.pattern ?? "");
  }

  async open(place: Place): Promise<void> {
    if (this.clip?.id === place.clip) {
      if (place.frame >= 0) this.viewer?.goTo(place.frame);
      if (place.entry) this.selectedId = place.entry;
      // Undo on another screen may have changed it meanwhile.
      return this.reload();
    }
    const mine = ++this.#opened;
    this.close();
    this.opening = true;
    this.trouble = "";
    const ok = await this.app.attempt(async () => {
      const [opened, ledger] = await Promise.all([bench.open(place.clip), bench.ledger(place.clip)]);
      if (mine !== this.#opened) return;
      const leading = await this.cameras.leading(opened, place);
      if (leading && mine === this.#opened) {
        await this.open(leading);
        return this.cameras.show(place.clip);
      }
      const viewer = new Viewer(opened, (sentence) => this.app.notify(sentence));
      this.ledger = ledger;
      this.viewer = viewer;
      this.scanning = !opened.complete;
      this.selectedId = place.entry ?? "";
      viewer.goTo(Math.max(0, place.frame));
      await Promise.all([viewer.readTimes(), this.pictures.refresh()]);
      // The wanted frame may become known only when the scan is done.
      this.#wanted = place.frame;
      this.#reach();
      if (opened.notices.length > 0) this.app.notify(opened.notices.join(" "));
      this.detection.open(opened.clip.id, opened.sound);
      this.cameras.take(opened.cameras);
    });
    if (mine !== this.#opened) return;
    this.opening = false;
    if (ok) return;
    this.trouble = this.app.message.text;
    this.app.notify(""); // it fills the screen already
  }

  #reach(): void {
    const viewer = this.viewer;
    if (!viewer || this.#wanted <= viewer.target) return;
    viewer.goTo(this.#wanted);
    if (viewer.target === this.#wanted) this.#wanted = -1;
  }

  /** Follows the index of the open clip while it is still being scanned. */
  listen(): () => void {
    const stopIndex = on("index", (e) => {
      if (e.clip_id !== this.clip?.id) return;
      void this.app.attempt(async () => {
        await this.viewer?.readTimes();
        this.#reach();
      });
      this.scanning = !e.complete;
      if (e.say) this.app.notify(e.say, true);
      else if (e.notices.length > 0) this.app.notify(e.notices.join(" "));
    });
    const stopNews = [this.detection.follow(() => void this.pass.heardMore()), this.measuring.follow(() => void this.detection.refresh())];
    const stopChange = this.app.onChange((change) => {
      // Another library was opened: the clip is not in it.
      if (!this.app.place) {
        this.pass.stop();
        this.close();
      }
      const id = this.clip?.id;
      if (!id || (change && !change.clips.includes(id))) return;
      void this.reload().then(() => this.pass.refresh());
      if (change && change.frame >= 0 && !this.pass.active) this.viewer?.goTo(change.frame);
    });
    return () => {
      for (const stop of [stopIndex, ...stopNews, stopChange]) stop();
    };
  }

  async reload(): Promise<void> {
    const id = this.clip?.id;
    if (!id) return;
    await this.app.attempt(async () => {
      const [ledger] = await Promise.all([bench.ledger(id), this.detection.refresh()]);
      if (this.clip?.id === id) this.ledger = ledger;
    });
    this.question = null;
    void Promise.all([this.ruler.refresh(), this.cameras.refresh(), this.pictures.refresh(), this.drawings.refresh()]);
    if (this.ruler.on) void this.measuring.refresh();
  }

  close(): void {
    this.ruler.close();
    this.cameras.close();
    this.measuring.close();
    this.viewer?.close();
    this.viewer = null;
    this.ledger = EMPTY;
    this.detection.close();
    this.question = null;
    this.lateness = null;
    this.drawings.close();
    this.selectedId = "";
    this.start = null;
    this.draft = null;
    this.noting = null;
    this.bursts.listed = false;
  }

  notify(say: string, wrong = false): void {
    this.app.notify(say, wrong);
  }

  at(frame: number): string {
    return `frame ${frame}, ${this.clock(frame)}`;
  }

  clock(frame: number): string {
    return clock(this.viewer?.timeline.seconds(frame) ?? 0);
  }

  /** One write about this clip; the ledger is read again before it is called saved. */
  write<T>(work: (clip: Id) => Promise<T>, done: (result: T) => string): Promise<T | undefined> {
    const clip = this.clip?.id;
    if (!clip) return Promise.resolve(undefined);
    return this.app.write(() => work(clip), done, { reread: () => this.#reread(clip) });
  }

  async #reread(clip: Id): Promise<void> {
    const [ledger] = await Promise.all([bench.ledger(clip), this.detection.refresh()]);
    if (this.clip?.id === clip) this.ledger = ledger;
  }

  coachKnown(): boolean {
    if (this.app.state.coach_id !== "") return true;
    this.app.notify("Say first who is marking: choose a coach at the left, or add one under Club.", true);
    return false;
  }

  async mark(fault: Fault): Promise<void> {
    if (!this.viewer || !this.coachKnown()) return;
    const frame = this.viewer.current;
    const at = (m: Mark) =>
      `Saved: ${fault.code} at ${this.at(m.frame)}${this.bursts.uncounted(m.frame)}.${this.cameras.elsewhere(m.clip_id)}`;
    const seen = (clip: Id) => this.cameras.place(clip, frame);
    if (this.viewer.playing) {
      const { rate } = this.viewer;
      const still = this.viewer.stands.stood();
      const played = await this.write(
        (clip) => bench.markPlayed(seen(clip).clip, seen(clip).frame, fault.id, rate, still),
        (p) => at(p.mark),
      );
      if (!played) return;
      this.selectedId = played.mark.id;
      this.question = whichStroke(this, played.mark, played.other, fault) ?? twice(this, played.mark, fault);
      return;
    }
    const made = await this.write((clip) => bench.addMark(seen(clip).clip, seen(clip).frame, fault.id), at);
    if (!made) return;
    this.selectedId = made.id;
    this.question = twice(this, made, fault);
  }

  /** Answers the question. */
  answerQuestion(yes: boolean): void {
    const question = this.question;
    if (!question) {
      this.app.notify("Nothing is asked at the moment.");
      return;
    }
    this.question = null;
    if (yes) question.accept();
    else question.refuse();
  }

  turnStart(): void {
    if (!this.viewer) return;
    this.start = this.viewer.current;
    this.app.notify(`A turn starts at ${this.at(this.start)}. Go to its last frame and press ${this.app.keymap.cap("turnEnd")}.`);
  }

  turnEnd(): void {
    if (!this.viewer) return;
    this.viewer.pause();
    const made = endTurn(this.start, this.viewer.current, (id) => this.app.keymap.cap(id));
    if ("say" in made) {
      this.app.notify(made.say, true);
      return;
    }
    this.draft = { id: "", ...this.#last, ...made };
  }

  giveUp(): void {
    this.question = null;
    if (this.start === null) return;
    this.start = null;
    this.app.notify("The turn that was started is given up.");
  }

  editTurn(t: Turn): void {
    this.draft = { id: t.id, player_id: t.player_id, drill_id: t.drill_id, first: t.first, last: t.last };
  }

  /** Saves the drafted turn; throws AppError so that the dialog can show it. */
  async saveTurn(draft: TurnDraft): Promise<void> {
    const clip = this.clip?.id;
    if (!clip) return;
    const wrong: AppError[] = [];
    await this.app.write(
      () => bench.saveTurn({ ...draft, clip_id: clip, first_ticks: 0, last_ticks: 0 }),
      (t) => `Saved: turn of ${isolated(this.app.playerOf.get(t.player_id)?.name ?? "the player")}, frames ${t.first} to ${t.last}.`,
      {
        reread: () => this.#reread(clip),
        failed: (error) => {
          wrong.push(error);
        },
      },
    );
    if (wrong[0]) throw wrong[0];
    this.#last = { player_id: draft.player_id, drill_id: draft.drill_id };
    this.start = null;
    this.draft = null;
  }

  async removeTurn(id: Id): Promise<void> {
    this.draft = null;
    await this.write(
      () => bench.removeTurn(id),
      () => `The turn is removed; its strokes and marks stay. ${this.app.keymap.cap("undo")} brings it back.`,
    );
  }

  select(e: Entry): void {
    this.selectedId = e.row.id;
    if (e.kind === "mark") this.cameras.see(e.row);
    this.viewer?.goTo(frameOf(e));
  }

  /** Selects the next entry (1) or the one before (-1), counted from this frame. */
  walk(by: 1 | -1): void {
    const list = this.entries;
    const here = this.viewer?.current ?? 0;
    const at = list.findIndex((e) => e.row.id === this.selectedId);
    const from = list[at];
    let next: Entry | undefined;
    // From the selected entry where the coach stands on it, else from the frame.
    if (from && frameOf(from) === here) next = list[at + by];
    else next = by > 0 ? list.find((e) => frameOf(e) > here) : list.findLast((e) => frameOf(e) < here);
    if (next) this.select(next);
    else this.app.notify(by > 0 ? "There is nothing more after this." : "There is nothing before this.");
  }

  /** Asks for the number of a frame to go to. */
  ask(): void {
    this.viewer?.pause();
    this.asking = this.viewer !== null;
  }

  note(): void {
    const e = this.selected;
    if (e?.kind === "mark") {
      this.viewer?.pause();
      this.noting = e.row;
    } else this.app.notify("Select a mark first: a note belongs to a mark.", true);
  }

  /** Saves a changed mark; true when it is kept, and its note need not stand open any more. */
  async saveMark(m: Mark, change: { fault?: Id; frame?: number; note?: string }): Promise<boolean> {
    const fault = change.fault ?? m.fault_id;
    const frame = change.frame ?? m.frame;
    const note = change.note ?? m.note ?? "";
    const saved = await this.write(
      () => bench.saveMark(m.id, fault, frame, note),
      () =>
        `Saved: ${change.note === undefined ? "" : note === "" ? "no note on " : "note on "}${this.app.faultOf.get(fault)?.code ?? "mark"} at ${this.at(frame)}.`,
    );
    if (saved && this.noting?.id === m.id) this.noting = null;
    return saved !== undefined;
  }

  /** Hangs the selected mark on the stroke before (-1) or after (1) the one that it hangs on. */
  async hang(by: 1 | -1): Promise<void> {
    const next = hangNext(this, this.selected, by);
    if (typeof next === "string") this.app.notify(next, true);
    else await this.hangOn(next.mark, next.stroke, `Saved: the mark hangs on stroke ${next.place + 1} now.`);
  }

  async hangOn(m: Mark, stroke: Id, said: string): Promise<void> {
    await this.write(
      () => bench.hangMark(m.id, stroke),
      () => said,
    );
  }

  /** Wipes off the sign that was drawn for a mark. */
  async wipeSign(m: Mark): Promise<void> {
    await this.write(
      () => bench.drawSign(m.id, null),
      () => `The sign is wiped off. ${this.app.keymap.cap("undo")} brings it back.`,
    );
  }

  async saveStroke(s: Stroke, change: { outcome?: Outcome; frame?: number }): Promise<void> {
    const frame = change.frame ?? s.frame;
    const outcome = change.outcome ?? s.outcome;
    await this.write(
      () => bench.saveStroke(s.id, frame, s.side ?? "", outcome),
      () => `Saved: ${outcome} stroke at ${this.at(frame)}.`,
    );
  }

  /** Removes the selected entry; one that is out of sight is shown first. */
  async remove(): Promise<void> {
    if (await this.strokes.removeProposed()) return;
    const e = this.selected;
    if (!e || !this.viewer) {
      this.app.notify("Select an entry of the list first.", true);
      return;
    }
    const here = this.viewer.current;
    const inSight = e.kind === "turn" ? covers(e.row, here) : e.row.frame === here;
    if (!inSight) {
      this.viewer.goTo(frameOf(e));
      this.app.notify(`This is the selected entry: press ${this.app.keymap.cap("remove")} once more to remove it.`);
      return;
    }
    await this.removeEntry(e);
  }

  async removeEntry(e: Entry): Promise<void> {
    if (e.kind === "turn") return this.removeTurn(e.row.id);
    const kind = e.kind;
    await this.write(
      () => (kind === "mark" ? bench.removeMark(e.row.id) : bench.removeStroke(e.row.id)),
      () => `The ${kind} at ${this.at(e.row.frame)} is removed. ${this.app.keymap.cap("undo")} brings it back.`,
    );
  }
}
