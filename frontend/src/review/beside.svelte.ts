import { on, pairs as program } from "../api/api";
import type { Fault, ListedPair, Pair, PairQuery, Shot } from "../api/domain";
import type { App, Place } from "../shared/app.svelte";
import { isolated } from "../shared/isolate";
import { BesideSide, type Start } from "./besideside.svelte";
import { beside, turned, type Lock } from "./lock";
import { RATES } from "./loop";

export type Which = 0 | 1;

/** What may be asked for in a dialog over the two pictures. */
type Asked = "" | "choose" | "list" | "keep" | "hand over";

/**
 * Two pictures side by side, or one over the other. Keys act on one of them, which leads;
 * while both are locked, the other shows the same moment.
 */
export class Beside {
  sides = $state.raw<readonly [BesideSide, BesideSide] | null>(null);
  /** The side that the keys act on. */
  lead = $state<Which>(0);
  /** Of the left side's frame and the right one's; null: each goes by itself. */
  lock = $state.raw<Lock | null>(null);
  over = $state(false);
  divided = $state(0.5);
  /** As it is kept; null: it is not. */
  kept = $state.raw<Pair | null>(null);
  asked = $state<Asked>("");
  list = $state.raw<ListedPair[]>([]);
  choices = $state.raw<Shot[]>([]);
  opening = $state(false);
  /** How far a film is, -1 where none is made. */
  film = $state(-1);

  readonly active = $derived(this.sides !== null || this.opening || this.asked === "list");
  readonly leading = $derived(this.sides?.[this.lead]);
  readonly playing = $derived(this.sides?.some((s) => s.viewer.playing) ?? false);

  #opened = 0;

  constructor(
    private readonly app: App,
    /** Opens a place on the bench. */
    private readonly back: (place: Place) => void,
  ) {}

  /** Shows a place of a clip beside itself. */
  start(place: Place | null): Promise<void> {
    if (!place) return this.ask("list");
    const at = { clip: place.clip, frame: Math.max(0, place.frame) };
    return this.#show(at, at, null);
  }

  open(pair: Pair): Promise<void> {
    this.over = pair.over;
    this.divided = pair.divided;
    return this.#show(
      { clip: pair.clip_id, frame: pair.frame, seen: pair.seen },
      { clip: pair.other_id, frame: pair.other_frame, seen: pair.other_seen },
      pair,
    );
  }

  async #show(left: Start, right: Start, kept: Pair | null): Promise<void> {
    const mine = ++this.#opened;
    this.#closeSides();
    this.asked = "";
    this.opening = true;
    await this.app.attempt(async () => {
      const one = await BesideSide.open(this.app, left, false);
      const other = await BesideSide.open(this.app, right, true).catch((cause: unknown) => {
        one.close();
        throw cause;
      });
      if (mine !== this.#opened) {
        one.close();
        other.close();
        return;
      }
      this.sides = [one, other];
      this.lead = kept ? 0 : 1;
      this.kept = kept;
      this.lock = kept ? this.#lockAt(left.frame, right.frame) : null;
    });
    if (mine === this.#opened) this.opening = false;
  }

  /** Puts a clip, or a moment of one, in the place of the leading side. */
  async put(shot: Shot): Promise<void> {
    const { sides, lead } = this;
    if (!sides) return;
    this.asked = "";
    const beside = sides[lead === 0 ? 1 : 0];
    const mine = ++this.#opened;
    await this.app.attempt(async () => {
      const same = shot.clip_id === beside.id && shot.frame < 0;
      const side = await BesideSide.open(
        this.app,
        { clip: shot.clip_id, frame: same ? beside.viewer.target : Math.max(0, shot.frame) },
        lead === 1,
      );
      if (mine !== this.#opened) return side.close();
      const there = shot.frame < 0 ? cameraFrame(beside, side) : -1;
      if (there >= 0) side.viewer.goTo(there);
      sides[lead].close();
      this.sides = lead === 0 ? [side, beside] : [beside, side];
      this.kept = null;
      this.lock = there >= 0 ? this.#lockAt() : null;
    });
  }

  async ask(what: Asked): Promise<void> {
    this.pause();
    await this.app.attempt(async () => {
      if (what === "list") this.list = await program.list();
      if (what === "choose") this.choices = await program.choices();
      this.asked = what;
    });
  }

  /** Holds both together at the frames on show, or lets each go by itself. */
  toggleLock(): void {
    this.pause();
    this.lock = this.lock ? null : this.#lockAt();
    this.app.notify(
      this.lock
        ? `Locked: frame ${this.lock.frame} at the left and ${this.lock.other} at the right are the same moment, and both step together.`
        : "Each picture goes by itself: find the moment in both, then lock them.",
    );
  }

  #lockAt(frame?: number, other?: number): Lock | null {
    if (!this.sides) return null;
    const [l, r] = this.sides;
    return { frame: frame ?? l.viewer.target, other: other ?? r.viewer.target, pace: r.opened.slowness / l.opened.slowness };
  }

  /** The frame of the side that does not lead, at the leading one's frame n; -1 for none. */
  #beside(n: number, lead: Which): number {
    const { sides, lock } = this;
    if (!sides || !lock) return -1;
    const other = sides[lead === 0 ? 1 : 0];
    return beside(lead === 0 ? lock : turned(lock), sides[lead].viewer.timeline, other.viewer.timeline, n);
  }

  /** Shows the other side's picture of the leading one's moment. */
  #sync(lead: Which = this.lead): void {
    const { sides, lock } = this;
    if (!sides || !lock) return;
    const other = sides[lead === 0 ? 1 : 0];
    const there = this.#beside(sides[lead].viewer.target, lead);
    sides[lead].dark = false;
    other.dark = there < 0;
    if (there >= 0 && there !== other.viewer.target) other.viewer.goTo(there);
  }

  step(by: number, repeat: boolean): void {
    this.#move(repeat, (s) => s.viewer.step(by, repeat));
  }

  skip(seconds: number, repeat: boolean): void {
    this.#move(repeat, (s) => s.viewer.skip(seconds, repeat));
  }

  goTo(n: number): void {
    this.#move(false, (s) => s.viewer.goTo(n));
  }

  toStroke(by: 1 | -1): void {
    this.#move(false, (s) => {
      if (!s.toStroke(by)) this.app.notify(by > 0 ? "No stroke is logged after this." : "No stroke is logged before this.");
    });
  }

  /** Moves the leading side, and the other with it; while a key is held both have to be there first. */
  #move(repeat: boolean, move: (side: BesideSide) => void): void {
    const { sides, leading } = this;
    if (!sides || !leading) return;
    if (repeat && this.lock && sides.some((s) => !s.dark && s.viewer.shown !== s.viewer.target)) return;
    this.pause();
    move(leading);
    this.#sync();
  }

  /** The side with more pictures a second has the clock, so that no picture of it is left out. */
  get #clock(): Which {
    const { sides, lead, lock } = this;
    if (!sides || !lock) return lead;
    const pace = (s: BesideSide) => (s.viewer.frames / Math.max(s.viewer.timeline.end, 1e-9)) * s.opened.slowness;
    return pace(sides[1]) > pace(sides[0]) ? 1 : 0;
  }

  toggle(): void {
    if (this.playing) this.pause();
    else void this.sides?.[this.#clock].viewer.play();
  }

  /** Keeps the other side in step while one plays; for an effect. */
  follow(): (() => void) | undefined {
    const { sides, lock } = this;
    const clock = sides?.findIndex((s) => s.viewer.playing) ?? -1;
    if (!sides || !lock || (clock !== 0 && clock !== 1)) return undefined;
    const [leading, other] = [sides[clock], sides[clock === 0 ? 1 : 0]];
    // It stands still where something is drawn on the other's frame alone, too.
    const stands = (after: number, to: number) => {
      for (let n = after + 1; n <= to; n++)
        if (other.viewer.stands.first(this.#beside(n - 1, clock), this.#beside(n, clock)) < Infinity) return n;
      return -1;
    };
    leading.viewer.stands.add(stands);
    let tick = 0;
    const run = () => {
      const there = this.#beside(leading.viewer.current, clock);
      other.dark = there < 0;
      if (there >= 0) other.viewer.follow(there, leading.viewer.rate * (clock === 0 ? lock.pace : 1 / lock.pace));
      tick = requestAnimationFrame(run);
    };
    tick = requestAnimationFrame(run);
    return () => {
      cancelAnimationFrame(tick);
      leading.viewer.stands.delete(stands);
      if (!leading.viewer.playing) this.#sync(clock);
    };
  }

  pause(): void {
    const clock = this.sides?.findIndex((s) => s.viewer.playing) ?? -1;
    if (clock !== 0 && clock !== 1) return;
    this.sides?.[clock].viewer.pause();
    this.#sync(clock);
  }

  changeRate(by: 1 | -1): void {
    const now = this.sides?.[0].viewer.rate ?? 1;
    const next = RATES[RATES.indexOf(now) + by];
    if (next === undefined) return;
    for (const s of this.sides ?? []) s.viewer.setRate(next);
    this.app.notify(`Speed ${next}×.`);
  }

  /** Shows so much of the left picture, where it lies over the other. */
  divide(at: number): void {
    this.divided = Math.max(0, Math.min(1, at));
  }

  /** Leaves what is asked; without pictures the list was all there was. */
  leave(): void {
    if (this.sides) this.asked = "";
    else this.close();
  }

  turn(): void {
    this.lead = this.lead === 0 ? 1 : 0;
  }

  mark(fault: Fault): void {
    this.pause();
    void this.leading?.mark(fault);
  }

  /** The pair as it stands: locked, what it was locked at; else the frames on show. */
  pair(name = this.kept?.name ?? ""): Pair | null {
    if (!this.sides) return null;
    const [l, r] = this.sides;
    const lock = this.lock ?? this.#lockAt();
    return {
      id: this.kept?.id ?? "",
      coach_id: "",
      name,
      clip_id: l.id,
      frame: lock?.frame ?? 0,
      ticks: 0,
      seen: l.view,
      other_id: r.id,
      other_frame: lock?.other ?? 0,
      other_ticks: 0,
      other_seen: r.view,
      over: this.over,
      divided: this.divided,
    };
  }

  /** Keeps what is seen under a name; true where it is kept. */
  async keep(name: string, anew: boolean): Promise<boolean> {
    const pair = this.pair(name);
    if (!pair) return false;
    const saved = await this.app.write(
      () => program.keep(anew ? { ...pair, id: "" } : pair),
      (p) => `Saved: the pair ${isolated(p.name)}.`,
    );
    if (!saved) return false;
    this.kept = saved;
    this.lock ??= this.#lockAt();
    this.asked = "";
    return true;
  }

  async remove(pair: ListedPair): Promise<void> {
    await this.app.write(
      () => program.remove(pair.id),
      () => `The pair ${isolated(pair.name)} is removed. ${this.app.keymap.cap("undo")} brings it back.`,
      {
        reread: async () => {
          this.list = await program.list();
        },
      },
    );
    if (this.kept?.id === pair.id) this.kept = null;
  }

  /** The two frames on show, for a page. */
  shown(): Pair | null {
    const pair = this.pair(this.kept?.name || "Two pictures");
    if (!pair || !this.sides) return null;
    const [l, r] = this.sides;
    return { ...pair, frame: l.viewer.target, other_frame: r.viewer.target };
  }

  async preview(names: boolean, unconsented: boolean): Promise<string> {
    const pair = this.shown();
    let address = "";
    if (pair)
      await this.app.attempt(async () => {
        address = await program.preview({ pair, names, unconsented, silent: true, lead: 0, follow: 0, slow: 0 });
      });
    return address;
  }

  async makeFilm(how: Omit<PairQuery, "pair" | "slow">): Promise<void> {
    const pair = this.pair(this.kept?.name || "Two pictures");
    if (!pair || this.film >= 0) return;
    this.asked = "";
    this.film = 0;
    const stop = on("progress", (p) => {
      if (p.job === "pair") this.film = Math.floor((100 * p.done) / Math.max(1, p.total));
    });
    await this.app.attempt(async () => {
      const done = await program.film({ ...how, pair, slow: 0 });
      this.app.wrote(done.path, done.say === "" ? "" : `. ${done.say}`);
    });
    stop();
    this.film = -1;
  }

  /** Reads anew what is kept, after a change from elsewhere. */
  refresh(): void {
    const { sides } = this;
    if (sides) void this.app.attempt(async () => void (await Promise.all(sides.map((s) => s.reload()))));
  }

  /** Goes back to the bench, to the picture that led. */
  end(): void {
    const { leading } = this;
    const place = leading && { clip: leading.id, frame: leading.viewer.target };
    this.close();
    if (!place) return;
    this.app.review(place.clip, place.frame);
    this.back(place);
  }

  close(): void {
    this.#opened++;
    this.#closeSides();
    this.opening = false;
    this.asked = "";
    this.kept = null;
  }

  #closeSides(): void {
    for (const s of this.sides ?? []) s.close();
    this.sides = null;
    this.lock = null;
  }
}

/** The frame of a side at another one's moment, where both are cameras of the same minutes; else -1. */
function cameraFrame(from: BesideSide, to: BesideSide): number {
  const clock = (s: BesideSide) => {
    const { main_id, views } = from.opened.cameras;
    return s.id === main_id && main_id !== "" ? { offset: 0, drift: 0 } : views.find((v) => v.clip_id === s.id);
  };
  const [a, b] = [clock(from), clock(to)];
  if (!a || !b || from.id === to.id) return -1;
  const main = a.offset + (1 + a.drift) * from.viewer.timeline.seconds(from.viewer.target);
  const seconds = (main - b.offset) / (1 + b.drift);
  const { timeline } = to.viewer;
  if (seconds < 0 || seconds > timeline.end) return -1;
  const n = timeline.frameAt(seconds);
  return n + 1 < timeline.length && timeline.seconds(n + 1) - seconds < seconds - timeline.seconds(n) ? n + 1 : n;
}
