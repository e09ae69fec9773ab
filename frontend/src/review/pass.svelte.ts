import { bench as api, listening, pass as program } from "../api/api";
import { PHASES, type Fault, type Id, type Phase, type PassStroke, type PassTurn, type PassSettings, type Side } from "../api/domain";
import type { BenchCore } from "./core";
import { clockOf, grace, isEarly, Showing, type PassClock } from "./passclock";
import { PassReader } from "./passreader";
import { changed, turnLine, USUAL_SETTINGS } from "./passturn";
import { PassMarks, type Shown } from "./passmarks.svelte";
import { counted } from "../shared/timeline";

/**
 * A pass: stroke after stroke of some turns shows itself, one key marks a fault on the
 * stroke that is shown, and a turn of which every stroke was shown is looked through.
 */
export class Pass {
  active = $state(false);
  settings = $state.raw<PassSettings>(USUAL_SETTINGS);
  turn = $state.raw<PassTurn | null>(null);
  /** The stroke that is shown, by its place in the turn. */
  at = $state(0);
  held = $state(false);
  /** What is waited for before the turn is shown. */
  question = $state<"" | "take over" | "listening">("");
  /** What is said of the turn before. */
  line = $state("");
  /** The turns to go over, and the place of the one that is shown. */
  turns = $state.raw<readonly Id[]>([]);
  place = $state(0);
  choosing = $state(false);

  readonly stroke = $derived<PassStroke | undefined>(this.turn?.strokes[this.at]);
  /** The faults that are looked for. */
  readonly faults = $derived.by<Fault[]>(() => {
    const focus = this.settings.focus;
    return this.bench.app.faults.filter((f) => focus.length === 0 || focus.includes(f.id));
  });

  /** Counts what is shown: work for an older one gives up. */
  #showing = 0;
  #shown = new Showing(0);
  #marked = false;
  /** What is shown came without a key. */
  #byItself = false;
  #before: Shown | null = null;
  /** A turn is being read: keys that move wait for it, marks are for the stroke that was shown. */
  #moving = false;
  /** The settings as they are kept, without a focus that is for this pass alone. */
  #kept: PassSettings = USUAL_SETTINGS;
  #seen = new Set<Id>();
  readonly #reader: PassReader;
  readonly #marks: PassMarks;

  constructor(
    private readonly bench: BenchCore,
    private readonly now: () => number = () => performance.now() / 1000,
    private readonly rest: (seconds: number) => Promise<void> = (s) => new Promise((done) => setTimeout(done, 1000 * s)),
  ) {
    this.#marks = new PassMarks(bench);
    this.#reader = new PassReader(bench);
  }

  /** Begins a pass over turns, at the first of them. A focus that is given is for this pass alone. */
  async start(turns: readonly Id[], focus?: readonly Id[]): Promise<void> {
    const { app } = this.bench;
    if (!this.bench.coachKnown()) return;
    if (turns.length === 0) {
      app.notify("There is no turn to go over here: a pass shows the strokes of turns.", true);
      return;
    }
    await app.attempt(async () => {
      this.#kept = await program.settings();
      this.settings = focus && focus.length > 0 ? { ...this.#kept, focus: [...focus] } : this.#kept;
      this.turns = turns;
      this.line = "";
      this.#before = null;
      this.#marks.clear();
      this.active = true;
      app.message = { text: "", wrong: false };
      await this.#open(0);
    });
  }

  /** Begins a pass over the turn here and those after it in the clip. */
  async startHere(): Promise<void> {
    const { ledger, viewer } = this.bench;
    const here = viewer?.current ?? 0;
    await this.start(ledger.turns.filter((t) => t.last >= here).map((t) => t.id));
  }

  /** Ends the pass where it is. */
  stop(): void {
    if (!this.active) return;
    this.#showing++;
    this.#moving = false;
    this.active = false;
    this.choosing = false;
    this.question = "";
    this.bench.viewer?.pause();
    if (this.bench.viewer) this.bench.viewer.rate = 1;
    this.turn = null;
  }

  /** Shows a turn of the list, from its first stroke or, where it is gone back to, its last. */
  async #open(place: number, last = false): Promise<void> {
    const mine = ++this.#showing;
    const id = this.turns[place];
    if (id === undefined) return this.#finish();
    this.#moving = true;
    try {
      const turn = await this.#reader.read(id, this.settings.focus);
      if (mine !== this.#showing) return;
      if (!turn) return void (await this.#open(last ? place - 1 : place + 1, last));
      this.place = place;
      if (this.bench.clip?.id !== turn.clip_id) {
        this.bench.app.place = { clip: turn.clip_id, frame: turn.first };
        await this.bench.open({ clip: turn.clip_id, frame: turn.strokes[0]?.from ?? turn.first });
      }
      if (mine !== this.#showing) return;
      if (!this.bench.viewer) {
        this.stop();
        await this.bench.app.written; // what is said of the turn before must not hide why the clip does not open
        return this.bench.app.notify(this.bench.trouble, true);
      }
      this.#present(turn, last);
    } finally {
      if (mine === this.#showing) this.#moving = false;
    }
  }

  /** Begins with a turn whose clip is on the bench. */
  #present(turn: PassTurn, last: boolean): void {
    const { viewer } = this.bench;
    if (!viewer) return;
    this.bench.app.go("review");
    this.#seen = new Set();
    this.turn = turn;
    this.at = 0;
    this.#moving = false;
    viewer.rate = this.settings.rate;
    viewer.goTo(turn.strokes[0]?.from ?? turn.first);
    if (turn.strokes.length === 0 && (turn.waiting || turn.heard > 0)) {
      this.question = turn.waiting ? "listening" : "take over";
      this.#shown = new Showing(this.now());
      this.held = false;
      return;
    }
    this.question = "";
    this.#reader.prepare(this.turns[this.place + 1], this.settings.focus);
    void this.#show(last ? Math.max(0, turn.strokes.length - 1) : 0);
  }

  /** Reads the turn again after something was undone, or written by somebody else. */
  async refresh(): Promise<void> {
    const turn = this.turn;
    if (!this.active || !turn || this.#moving || this.question !== "") return;
    await this.bench.app.attempt(async () => {
      this.#reader.forget();
      const now = await this.#reader.read(turn.turn_id, this.settings.focus);
      if (this.turn?.turn_id !== turn.turn_id || this.#moving) return;
      if (!now) await this.#open(this.place + 1);
      else if (now.strokes.length !== turn.strokes.length) await this.#open(this.place);
      else {
        this.turn = now;
        this.#reader.prepare(this.turns[this.place + 1], this.settings.focus);
      }
    });
  }

  /** Looks again at a turn whose sound was not heard to its end. */
  async heardMore(): Promise<void> {
    if (this.active && this.question === "listening") await this.bench.app.attempt(() => this.#open(this.place));
  }

  /** Shows a stroke over and over until it is gone on from. */
  async #show(at: number): Promise<void> {
    const mine = ++this.#showing;
    const turn = this.turn;
    if (!turn) return;
    this.at = at;
    this.held = false;
    this.#marked = false;
    this.#shown = new Showing(this.now());
    const stroke = turn.strokes[at];
    const [from, to] = stroke ? [stroke.from, stroke.to] : [turn.first, turn.last];
    for (;;) {
      const viewer = this.bench.viewer;
      if (!viewer) return;
      const next = turn.strokes[at + 1];
      const last = this.settings.run_on && this.#shown.loops + 1 >= this.settings.loops;
      const playing = viewer.playSpan(from, to, this.settings.sound, last ? (next?.from ?? -1) : from);
      if (this.#shown.loops === 0) void this.#startsClock(mine);
      const reached = await playing;
      if (mine !== this.#showing || !reached) return;
      this.#shown.ends(this.now());
      this.#seen.add(stroke?.id ?? turn.turn_id);
      if (!this.#goesOn()) continue;
      const follows = next ?? (await this.#reader.ready)?.strokes[0] ?? (this.turns[this.place + 1] === undefined ? "nothing" : "a turn");
      await this.rest(grace(this.#clock(), this.settings.rate, stroke, follows, this.#phases()));
      if (mine !== this.#showing) return;
      if (this.#goesOn()) return this.#next(true);
    }
  }

  /** The time that counts is that from which the stretch runs: its first picture may take a moment. */
  async #startsClock(mine: number): Promise<void> {
    while (mine === this.#showing && this.bench.viewer && !this.bench.viewer.playing) {
      await new Promise((next) => setTimeout(next, 4));
    }
    if (mine === this.#showing) this.#shown.began = this.now();
  }

  #goesOn(): boolean {
    return this.#marked || (this.settings.run_on && this.#shown.loops >= this.settings.loops);
  }

  #phases(): number[] {
    return [...new Set(this.faults.map((f) => PHASES.indexOf(f.phase)))];
  }

  #clock(): PassClock {
    const seconds = (n: number) => this.bench.viewer?.timeline.seconds(n) ?? 0;
    return clockOf(seconds, this.turn?.reaction ?? 0.4);
  }

  #next(byItself: boolean): void {
    const turn = this.turn;
    if (!turn) return;
    this.#byItself = byItself;
    this.#leave(turn);
    if (this.at + 1 < turn.strokes.length) void this.#show(this.at + 1);
    else this.#endTurn(turn);
  }

  /** Remembers the stroke that is gone on from: late keys are for it, whatever is on the bench by then. */
  #leave(turn: PassTurn): void {
    const { stroke } = this;
    this.#before = stroke ? { turn, stroke } : null;
    if (stroke) this.#marks.leave({ turn, stroke }, this.faults);
  }

  /** Says of the turn what was seen, writes that it was looked through, and goes on to the next. */
  #endTurn(turn: PassTurn): void {
    const { app } = this.bench;
    const all = turn.strokes.length === 0 ? this.#seen.has(turn.turn_id) : turn.strokes.every((s) => this.#seen.has(s.id));
    const marks = turn.strokes.reduce((sum, s) => sum + this.faults.filter((f) => this.has(s, f)).length, 0);
    this.line = turnLine(turn, marks);
    const focus = this.settings.focus;
    if (all) {
      void this.bench.write(
        () => program.looked(turn.turn_id, focus),
        () => `Looked through: ${this.line}.`,
      );
    } else {
      this.line += `; ${turn.strokes.filter((s) => this.#seen.has(s.id)).length} of them shown`;
      app.notify(`Not counted as looked through: ${this.line}.`);
    }
    void app.attempt(() => this.#open(this.place + 1)).then((ok) => !ok && this.stop());
  }

  #finish(): void {
    const n = this.turns.length;
    this.stop();
    void this.bench.app.write(
      () => Promise.resolve(),
      () => `The pass is done: it went over ${counted(n, "turn")}. The last: ${this.line}.`,
    );
  }

  /** Nothing more here: on to the next stroke, or to what is asked. */
  on(pressed: number): void {
    const turn = this.turn;
    if (!turn || this.#moving) return;
    if (this.#isForBefore(pressed)) return;
    if (this.question === "take over") return void this.#takeOver(turn);
    if (this.question === "listening") return this.#leaveOut(turn);
    if (!this.#isSoon(pressed)) this.#seen.add(this.stroke?.id ?? turn.turn_id); // sooner nobody has seen anything
    this.#next(false);
  }

  /** Whether a key was pressed before anybody can have seen what is shown. */
  #isSoon(pressed: number): boolean {
    return !this.held && this.#shown.isBefore(pressed, this.#clock().fastest);
  }

  /** Whether it was pressed for the stroke before, which has gone by itself. */
  #isForBefore(pressed: number): boolean {
    return this.#isSoon(pressed) && this.#byItself && this.#before !== null;
  }

  async #takeOver(turn: PassTurn): Promise<void> {
    this.#moving = true; // until it is answered
    const done = await this.bench.write(
      () => listening.takeOver(turn.turn_id, { do: "", frame: 0, side: "", outcome: "good", at: 0 }),
      () => `Saved: ${counted(turn.heard, "heard stroke")} taken over. ${this.bench.app.keymap.cap("undo")} takes them back.`,
    );
    if (this.turn !== turn) return;
    this.#moving = false;
    if (done) await this.bench.app.attempt(() => this.#open(this.place));
  }

  /** Leaves the turn out. */
  skip(pressed: number): void {
    if (!this.turn || this.#moving || this.#isForBefore(pressed)) return;
    this.#leaveOut(this.turn);
  }

  #leaveOut(turn: PassTurn): void {
    this.#leave(turn);
    this.line = "left out";
    void this.bench.app.attempt(() => this.#open(this.place + 1)).then((ok) => !ok && this.stop());
  }

  /** Goes to a stroke of the turn. */
  goTo(stroke: Id): void {
    const at = this.turn?.strokes.findIndex((s) => s.id === stroke) ?? -1;
    if (this.#moving) return;
    this.#before = null;
    if (at >= 0 && this.question === "") void this.#show(at);
  }

  back(): void {
    if (this.#moving) return;
    this.#before = null;
    if (this.at > 0 && this.question === "") void this.#show(this.at - 1);
    else if (this.place > 0) void this.bench.app.attempt(() => this.#open(this.place - 1, true));
    else void this.repeat();
  }

  /** Shows the stroke from its beginning again. */
  async repeat(): Promise<void> {
    if (this.#moving) return;
    this.#before = null;
    if (this.question === "") await this.#show(this.at);
  }

  /** Holds the picture, or plays on. */
  hold(): void {
    const viewer = this.bench.viewer;
    if (!viewer || this.#moving || this.question !== "") return;
    if (this.held) {
      void this.repeat();
      return;
    }
    this.#showing++;
    this.held = true;
    viewer.pause();
  }

  /** Holds the picture at the contact. */
  contact(): void {
    if (!this.stroke || this.#moving) return;
    if (!this.held) this.hold();
    this.bench.viewer?.goTo(this.stroke.frame);
  }

  /** One frame on (1) or back (-1) while the picture is held; else on or back by a stroke. */
  arrow(by: 1 | -1, repeat: boolean, pressed: number): void {
    if (this.held) this.bench.viewer?.step(by, repeat);
    else if (!repeat && by > 0) this.on(pressed);
    else if (!repeat) this.back();
  }

  /** Marks a fault on the stroke that was meant by a key pressed at that time, seconds, or takes it off again. */
  async mark(fault: Fault, pressed: number): Promise<void> {
    const turn = this.turn;
    const { viewer } = this.bench;
    if (!turn) return;
    const meant = this.#meant(fault.phase, pressed);
    if (!meant) {
      if (viewer && this.question === "") await this.#marks.loose(fault, viewer.current, this.held ? 0 : this.settings.rate);
      return;
    }
    const here = meant.stroke.id === this.stroke?.id;
    if (here) this.#marked = true;
    const place = `stroke ${meant.turn.strokes.findIndex((s) => s.id === meant.stroke.id) + 1}${meant.turn.turn_id === turn.turn_id ? "" : " of the turn before"}`;
    await this.#marks.toggle(meant, fault, this.held && here && viewer ? viewer.current : -1, place);
  }

  /** The stroke that a key pressed then means: the one before while a reaction to the one on show is impossible; null for none. */
  #meant(phase: Phase, pressed: number): Shown | null {
    const { turn, stroke } = this;
    if (!turn) return null;
    const before = this.#before;
    const since = pressed - this.#shown.began;
    const clock = this.#clock();
    if (before && !this.held && !this.#moving && pressed < this.#shown.over) {
      if (this.question !== "" && since < clock.slowest) return before;
      if (this.question === "" && isEarly(clock, this.settings.rate, stroke, PHASES.indexOf(phase), since)) return before;
    }
    return stroke ? { turn, stroke } : null;
  }

  /** Whether this coach has marked a fault on a stroke of the turn. */
  has(stroke: PassStroke, fault: Fault): boolean {
    return this.turn !== null && this.#marks.has({ turn: this.turn, stroke }, fault);
  }

  async side(side: Side, pressed: number): Promise<void> {
    await this.#change(pressed, "backswing", () => ({ side, set: side }), `a ${side}`);
  }

  /** Turns a stroke from good to missed, or back. */
  async outcome(pressed: number): Promise<void> {
    await this.#change(pressed, "recovery", (s) => ({ outcome: s.outcome === "good" ? "missed" : "good" }));
  }

  /** Changes the stroke that was meant; `seen` is in which phase it is plain to see. */
  async #change(pressed: number, seen: Phase, how: (s: PassStroke) => Partial<PassStroke>, word?: string): Promise<void> {
    const meant = this.#meant(seen, pressed);
    if (!meant) return;
    const { stroke, turn } = meant;
    const change = how(stroke);
    const next = { ...stroke, ...change };
    const was = Object.fromEntries(Object.keys(change).map((k) => [k, stroke[k as keyof PassStroke]]));
    this.#put(stroke.id, change); // at once: the next key starts from it
    const saved = await this.#marks.write(
      () => api.saveStroke(stroke.id, stroke.frame, next.set, next.outcome), // the pattern goes on saying what nobody has set
      () => `Saved: stroke ${turn.strokes.findIndex((s) => s.id === stroke.id) + 1} is ${word ?? next.outcome}.`,
    );
    if (!saved) this.#put(stroke.id, was);
  }

  /** Changes a stroke as it is shown. */
  #put(id: Id, change: Partial<PassStroke>): void {
    if (this.turn) this.turn = changed(this.turn, id, change);
    const before = this.#before;
    if (before)
      this.#before = {
        turn: changed(before.turn, id, change),
        stroke: before.stroke.id === id ? { ...before.stroke, ...change } : before.stroke,
      };
  }

  openSettings(): void {
    if (this.#moving) return;
    if (!this.held && this.question === "") this.hold();
    this.choosing = true;
  }

  /** Changes how the pass goes; it is kept for this coach. */
  async choose(change: Partial<PassSettings>): Promise<void> {
    const anew = change.focus !== undefined || change.before !== undefined || change.after !== undefined;
    const kept = { ...this.#kept, ...change };
    if (!(await this.bench.app.attempt(() => program.setSettings(kept).then(() => undefined)))) return;
    this.#kept = kept;
    this.settings = { ...this.settings, ...change };
    if (!this.active || this.#moving) return;
    if (this.bench.viewer && change.rate !== undefined) this.bench.viewer.rate = change.rate;
    if (anew) await this.bench.app.attempt(() => this.#open(this.place));
  }
}
