import { bench as api, hearing, pass as program } from "../api";
import { PHASES, type Fault, type Id, type PassStroke, type PassTurn, type PassWish, type Side } from "../domain";
import type { Bench } from "./bench.svelte";
import { clockOf, grace, isEarly, type PassClock } from "./passclock";
import { counted } from "./timeline";
import { streak } from "./turns";

const WISH: PassWish = { before: 0.4, after: 0.6, rate: 1, loops: 1, run_on: true, sound: false, focus: [] };

/** A stroke that was shown, and the turn that it is of. */
interface Shown {
  turn: PassTurn;
  stroke: PassStroke;
}

/** What a pass waits for before it shows a turn. */
export type PassQuestion = "" | "take over" | "listening";

/**
 * A pass: stroke after stroke of some turns shows itself, one key marks a fault on the
 * stroke that is shown, and a turn of which every stroke was shown is looked through.
 */
export class Pass {
  active = $state(false);
  wish = $state.raw<PassWish>(WISH);
  turn = $state.raw<PassTurn | null>(null);
  /** The stroke that is shown, by its place in the turn. */
  at = $state(0);
  held = $state(false);
  question = $state<PassQuestion>("");
  /** What is said of the turn before. */
  line = $state("");
  /** The turns to go over, and the place of the one that is shown. */
  turns = $state.raw<readonly Id[]>([]);
  place = $state(0);
  settings = $state(false);

  readonly stroke = $derived<PassStroke | undefined>(this.turn?.strokes[this.at]);
  /** The faults that are looked for. */
  readonly faults = $derived.by<Fault[]>(() => {
    const focus = this.wish.focus;
    return this.bench.app.faults.filter((f) => focus.length === 0 || focus.includes(f.id));
  });

  /** Grows with whatever is shown: what waits for an older showing gives up. */
  #showing = 0;
  #began = 0;
  #loops = 0;
  #marked = false;
  #before: Shown | null = null;
  #seen = new Set<Id>();
  #ahead: Promise<PassTurn | undefined> = Promise.resolve(undefined);
  /** Marks that are being written, or lie in another clip by now: true where there is one. */
  #known = $state.raw(new Map<string, Id | boolean>());

  constructor(
    private readonly bench: Bench,
    private readonly now: () => number = () => performance.now() / 1000,
    private readonly rest: (seconds: number) => Promise<void> = (s) => new Promise((done) => setTimeout(done, 1000 * s)),
  ) {}

  /** Begins a pass over turns, at the first of them. A focus that is given is looked for from now on. */
  async start(turns: readonly Id[], focus?: readonly Id[]): Promise<void> {
    const { app } = this.bench;
    if (!this.bench.coachKnown()) return;
    if (turns.length === 0) {
      app.tell("There is no turn to go over here: a pass shows the strokes of turns.", true);
      return;
    }
    await app.attempt(async () => {
      this.wish = await program.wish();
      if (focus && focus.length > 0) this.wish = { ...this.wish, focus: [...focus] };
      this.turns = turns;
      this.line = "";
      this.#before = null;
      this.#known = new Map();
      this.active = true;
      app.said = { text: "", wrong: false };
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
    this.active = false;
    this.settings = false;
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
    const ready = await this.#ahead;
    const turn = ready?.turn_id === id && !ready.waiting ? ready : await program.turn(id, this.wish.focus);
    this.#ahead = Promise.resolve(undefined);
    if (mine !== this.#showing) return;
    this.place = place;
    if (this.bench.clip?.id !== turn.clip_id) {
      this.bench.app.place = { clip: turn.clip_id, frame: turn.first };
      await this.bench.open({ clip: turn.clip_id, frame: turn.strokes[0]?.from ?? turn.first });
    }
    if (mine !== this.#showing || !this.bench.viewer) return;
    this.bench.app.go("review");
    this.#seen = new Set();
    this.turn = turn;
    this.at = 0;
    this.bench.viewer.rate = this.wish.rate;
    this.bench.viewer.goTo(turn.strokes[0]?.from ?? turn.first);
    if (turn.strokes.length === 0 && (turn.waiting || turn.heard > 0)) {
      this.question = turn.waiting ? "listening" : "take over";
      return;
    }
    this.question = "";
    this.#ahead = this.#prepare(place + 1);
    void this.#show(last ? Math.max(0, turn.strokes.length - 1) : 0);
  }

  /** Reads the turn again after something was undone. */
  async refresh(): Promise<void> {
    const turn = this.turn;
    if (!this.active || !turn || this.question !== "") return;
    await this.bench.app.attempt(async () => {
      const now = await program.turn(turn.turn_id, this.wish.focus);
      if (this.turn !== turn) return;
      this.#known = new Map();
      if (now.strokes.length !== turn.strokes.length) await this.#open(this.place);
      else this.turn = now;
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
    this.#loops = 0;
    const stroke = turn.strokes[at];
    const [from, to] = stroke ? [stroke.from, stroke.to] : [turn.first, turn.last];
    for (;;) {
      const viewer = this.bench.viewer;
      if (!viewer) return;
      this.#began = this.now();
      const next = turn.strokes[at + 1];
      const playing = viewer.playSpan(from, to, this.wish.sound, this.#goesOnAfter() ? (next?.from ?? -1) : from);
      void this.#startsClock(mine);
      const reached = await playing;
      if (mine !== this.#showing || !reached) return;
      this.#loops++;
      this.#seen.add(stroke?.id ?? turn.turn_id);
      if (!this.#goesOn()) continue;
      await this.rest(grace(this.#clock(), this.wish.rate, stroke, next ?? (await this.#ahead)?.strokes[0], this.#phases()));
      if (mine !== this.#showing) return;
      if (this.#goesOn()) return this.#next();
    }
  }

  /** The time that counts is that from which the stretch runs: its first picture may take a moment. */
  async #startsClock(mine: number): Promise<void> {
    while (mine === this.#showing && this.bench.viewer && !this.bench.viewer.playing) {
      await new Promise((next) => setTimeout(next, 4));
    }
    if (mine === this.#showing) this.#began = this.now();
  }

  #goesOn(): boolean {
    return this.#marked || (this.wish.run_on && this.#loops >= this.wish.loops);
  }

  /** Whether the pass goes on by itself when the stroke has been shown once more. */
  #goesOnAfter(): boolean {
    return this.wish.run_on && this.#loops + 1 >= this.wish.loops;
  }

  /** The turn after this one, got ready while this one is shown. */
  async #prepare(place: number): Promise<PassTurn | undefined> {
    const id = this.turns[place];
    if (id === undefined) return undefined;
    try {
      const turn = await program.turn(id, this.wish.focus);
      if (turn.clip_id !== this.bench.clip?.id) await api.open(turn.clip_id);
      return turn;
    } catch {
      return undefined; // it is asked for again when it is shown, and then told
    }
  }

  #phases(): number[] {
    return [...new Set(this.faults.map((f) => PHASES.indexOf(f.phase)))];
  }

  #clock(): PassClock {
    const seconds = (n: number) => this.bench.viewer?.timeline.seconds(n) ?? 0;
    return clockOf(seconds, this.turn?.reaction ?? 0.4);
  }

  #next(): void {
    const turn = this.turn;
    if (!turn) return;
    const stroke = this.stroke;
    this.#before = stroke ? { turn, stroke } : null;
    if (this.at + 1 < turn.strokes.length) void this.#show(this.at + 1);
    else this.#endTurn(turn);
  }

  /** Says of the turn what was seen, writes that it was looked through, and goes on to the next. */
  #endTurn(turn: PassTurn): void {
    const { app } = this.bench;
    const all = turn.strokes.length === 0 || turn.strokes.every((s) => this.#seen.has(s.id));
    const marks = turn.strokes.reduce((sum, s) => sum + this.faults.filter((f) => this.has(s, f)).length, 0);
    const run = streak(turn.strokes.map((s) => s.outcome)).longest;
    this.line = `${counted(turn.strokes.length, "stroke")}, ${counted(marks, "mark")}, streak ${run}`;
    const focus = this.wish.focus;
    if (all) {
      void this.bench.write(
        () => program.looked(turn.turn_id, focus),
        () => `Looked through: ${this.line}.`,
      );
    } else {
      this.line += `; ${turn.strokes.filter((s) => this.#seen.has(s.id)).length} of them shown`;
      app.tell(`Not counted as looked through: ${this.line}.`);
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
  on(): void {
    const turn = this.turn;
    if (!turn) return;
    if (this.question === "take over") {
      void this.#takeOver(turn);
      return;
    }
    if (this.question === "listening") {
      this.skip();
      return;
    }
    const stroke = this.stroke;
    this.#seen.add(stroke?.id ?? turn.turn_id);
    this.#next();
  }

  async #takeOver(turn: PassTurn): Promise<void> {
    const done = await this.bench.write(
      () => hearing.takeOver(turn.turn_id, { do: "", frame: 0, side: "", outcome: "good", at: 0 }),
      () => `Saved: ${counted(turn.heard, "heard stroke")} taken over. Ctrl+Z takes them back.`,
    );
    if (done) await this.bench.app.attempt(() => this.#open(this.place));
  }

  /** Leaves the turn out. */
  skip(): void {
    this.line = "left out";
    void this.bench.app.attempt(() => this.#open(this.place + 1)).then((ok) => !ok && this.stop());
  }

  /** Goes to a stroke of the turn. */
  goTo(stroke: Id): void {
    const at = this.turn?.strokes.findIndex((s) => s.id === stroke) ?? -1;
    this.#before = null;
    if (at >= 0 && this.question === "") void this.#show(at);
  }

  back(): void {
    this.#before = null;
    if (this.at > 0 && this.question === "") void this.#show(this.at - 1);
    else if (this.place > 0) void this.bench.app.attempt(() => this.#open(this.place - 1, true));
    else void this.repeat();
  }

  /** Shows the stroke from its beginning again. */
  async repeat(): Promise<void> {
    this.#before = null;
    if (this.question === "") await this.#show(this.at);
  }

  /** Holds the picture, or plays on. */
  hold(): void {
    const viewer = this.bench.viewer;
    if (!viewer || this.question !== "") return;
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
    if (!this.stroke) return;
    if (!this.held) this.hold();
    this.bench.viewer?.goTo(this.stroke.frame);
  }

  /** One frame on (1) or back (-1) while the picture is held; else on or back by a stroke. */
  arrow(by: 1 | -1, repeat: boolean): void {
    if (this.held) this.bench.viewer?.step(by, repeat);
    else if (!repeat && by > 0) this.on();
    else if (!repeat) this.back();
  }

  /** Marks a fault on the stroke that was meant, or takes it off again. */
  async mark(fault: Fault): Promise<void> {
    const turn = this.turn;
    const { viewer } = this.bench;
    if (!turn || !viewer || this.question !== "") return;
    if (turn.strokes.length === 0) {
      await (this.held ? this.#atFrame(fault, viewer.current) : this.#played(fault, viewer.current));
      return;
    }
    const meant = this.#meant(fault);
    if (!meant) return;
    if (meant.stroke.id === this.stroke?.id) this.#marked = true;
    const { stroke } = meant;
    const key = stroke.id + fault.id;
    const place = `stroke ${meant.turn.strokes.findIndex((s) => s.id === stroke.id) + 1}${meant.turn.turn_id === turn.turn_id ? "" : " of the turn before"}`;
    if (this.has(stroke, fault)) {
      this.#note(key, false);
      await this.bench.write(
        async () => {
          const id = this.#markOn(stroke, fault) ?? this.#known.get(key);
          if (typeof id === "string") await api.removeMark(id);
        },
        () => `Taken off: ${fault.code} on ${place}.`,
      );
      this.#forget(key, meant);
      return;
    }
    this.#note(key, true);
    const frame = this.held && meant.stroke.id === this.stroke?.id ? viewer.current : -1;
    const made = await this.bench.write(
      () => program.mark(stroke.id, fault.id, frame),
      () => `Saved: ${fault.code} on ${place}.`,
    );
    if (made && meant.turn.clip_id !== this.bench.clip?.id) this.#note(key, made.id);
    else this.#forget(key, meant);
  }

  async #played(fault: Fault, frame: number): Promise<void> {
    await this.bench.write(
      (clip) => api.markPlayed(clip, frame, fault.id, this.wish.rate),
      (m) => `Saved: ${fault.code} at ${this.bench.at(m.mark.frame)}.`,
    );
  }

  async #atFrame(fault: Fault, frame: number): Promise<void> {
    await this.bench.write(
      (clip) => api.addMark(clip, frame, fault.id),
      () => `Saved: ${fault.code} at ${this.bench.at(frame)}.`,
    );
  }

  /** The stroke that a key means now: the one before where nobody can have reacted to this one yet. */
  #meant(fault: Fault): Shown | null {
    const { turn, stroke } = this;
    if (!turn || !stroke) return null;
    const before = this.#before;
    const since = this.now() - this.#began;
    const phase = PHASES.indexOf(fault.phase);
    if (before && !this.held && this.#loops === 0 && isEarly(this.#clock(), this.wish.rate, stroke, phase, since)) return before;
    return { turn, stroke };
  }

  /** This coach's mark of a fault on a stroke of the clip on the bench. */
  #markOn(stroke: PassStroke, fault: Fault): Id | undefined {
    const { ledger, app } = this.bench;
    return ledger.marks.find((m) => m.fault_id === fault.id && m.coach_id === app.state.coach_id && ledger.hangs_on[m.id] === stroke.id)?.id;
  }

  /** Whether this coach has marked a fault on a stroke. */
  has(stroke: PassStroke, fault: Fault): boolean {
    const known = this.#known.get(stroke.id + fault.id);
    return known === undefined ? this.#markOn(stroke, fault) !== undefined : known !== false;
  }

  #note(key: string, is: Id | boolean): void {
    this.#known = new Map(this.#known).set(key, is);
  }

  /** The ledger tells it by itself now. */
  #forget(key: string, of: Shown): void {
    if (of.turn.clip_id !== this.bench.clip?.id) return;
    const known = new Map(this.#known);
    known.delete(key);
    this.#known = known;
  }

  async side(side: Side): Promise<void> {
    const stroke = this.stroke;
    if (!stroke) return;
    await this.#change(stroke, { side }, `a ${side}`);
  }

  async outcome(): Promise<void> {
    const stroke = this.stroke;
    if (!stroke) return;
    const outcome = stroke.outcome === "good" ? "missed" : "good";
    await this.#change(stroke, { outcome }, outcome);
  }

  async #change(stroke: PassStroke, change: Partial<Pick<PassStroke, "side" | "outcome">>, word: string): Promise<void> {
    const place = this.at;
    await this.bench.write(
      async () => {
        // As it is by now: keys may follow one another fast.
        const kept = this.bench.ledger.strokes.find((s) => s.id === stroke.id);
        if (!kept) return;
        const side = change.side ?? kept.side ?? ""; // the pattern goes on saying what nobody has set
        await api.saveStroke(stroke.id, stroke.frame, side, change.outcome ?? kept.outcome);
        const turn = this.turn;
        if (turn) this.turn = { ...turn, strokes: turn.strokes.map((s) => (s.id === stroke.id ? { ...s, ...change } : s)) };
      },
      () => `Saved: stroke ${place + 1} is ${word}.`,
    );
  }

  openSettings(): void {
    if (!this.held && this.question === "") this.hold();
    this.settings = true;
  }

  /** Changes how the pass goes; it is kept for this coach. */
  async choose(change: Partial<PassWish>): Promise<void> {
    const anew = change.focus !== undefined || change.before !== undefined || change.after !== undefined;
    const wish = { ...this.wish, ...change };
    const kept = await this.bench.app.attempt(() => program.setWish(wish).then(() => undefined));
    if (!kept) return;
    this.wish = wish;
    if (!this.active) return;
    if (this.bench.viewer && change.rate !== undefined) this.bench.viewer.rate = change.rate;
    if (anew) await this.bench.app.attempt(() => this.#open(this.place));
    else if (!this.held && !this.settings) await this.repeat();
  }
}
