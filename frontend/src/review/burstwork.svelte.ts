import { bursts as api } from "../api/api";
import type { Burst, Bursts, Id, NewTurn, Outcome } from "../api/domain";
import type { ActionId } from "../shared/actions";
import type { BenchCore } from "./core";
import { isolated } from "../shared/isolate";
import { counted } from "../shared/timeline";
import { turnAt } from "./turns";

/** Bursts of play on the bench: gone through, joined, split, made turns. */
export class BurstWork {
  /** The list of all of them is open. */
  listed = $state(false);

  /** The burst at the frame on show. */
  readonly here = $derived.by<Burst | undefined>(() => this.at(this.bench.frame));

  constructor(private readonly bench: BenchCore & { strokes: { log(outcome: Outcome): Promise<void> } }) {}

  /** The burst that holds a frame which no turn covers. */
  at(frame: number): Burst | undefined {
    if (turnAt(this.bench.ledger.turns, frame)) return undefined;
    return this.bench.detection.play.bursts.find((b) => b.first <= frame && frame <= b.last);
  }

  #cap(id: ActionId): string {
    return this.bench.app.keymap.cap(id);
  }

  /** The keys that begin and end a turn. */
  get #ends(): string {
    return `${this.#cap("turnStart")} and ${this.#cap("turnEnd")}`;
  }

  /** Says what to do at a frame that no turn covers. */
  noTurn(): string {
    if (this.at(this.#frame)) return `No turn covers this frame: press ${this.#cap("good")} to make one of the burst of play here.`;
    if (this.bench.detection.play.bursts.length > 0)
      return `No turn covers this frame: ${this.#cap("burstOn")} goes to the next burst of play, where ${this.#cap("good")} makes one, or mark it with ${this.#ends}.`;
    return `No turn covers this frame: mark one first, with ${this.#ends}.`;
  }

  /** What is said after what was entered at a frame; "" where a turn counts it. */
  uncounted(frame: number): string {
    if (turnAt(this.bench.ledger.turns, frame)) return "";
    return `. Not counted yet: no turn here${this.at(frame) ? `, ${this.#cap("good")} makes one of this burst of play` : ""}`;
  }

  /** Goes to the first frame of the next burst, or of the one before. */
  walk(by: 1 | -1): void {
    const { detection, viewer } = this.bench;
    const all = detection.play.bursts;
    const next = by > 0 ? all.find((b) => b.first > this.#frame) : all.findLast((b) => b.first < this.#frame);
    if (next) {
      viewer?.goTo(next.first);
      this.bench.notify(`${this.words(next)}. ${this.made(next)}`);
    } else if (all.length > 0)
      this.bench.notify(
        by > 0
          ? `No burst of play comes after this. ${this.#cap("burstBack")} goes to the one before.`
          : `No burst of play lies before this. ${this.#cap("burstOn")} goes to the next.`,
      );
    else if (detection.progress.state === "silent") this.bench.notify(`This clip has no sound: mark its turns with ${this.#ends}.`, true);
    else if (!detection.play.known)
      this.bench.notify(
        detection.progress.state === "running"
          ? "Still listening: no burst of play is heard yet."
          : `This clip is not heard to its end: ${this.#cap("listen")} goes on with the listening.`,
        true,
      );
    else this.bench.notify("No more play is heard that is no turn yet.");
  }

  /** A burst in words. */
  words(b: Burst): string {
    const clock = (frame: number) => this.bench.clock(frame);
    return `Play from ${clock(b.first)} to ${clock(b.last)}, ${counted(b.strokes, "stroke")} heard`;
  }

  /** What Enter makes of a burst. */
  made(b: Burst): string {
    if (b.open) return "Still listening: it may go on.";
    const player = this.bench.app.playerOf.get(b.player_id)?.name;
    const drill = this.bench.app.drillOf.get(b.drill_id)?.name;
    if (!player || !drill) return `${this.#cap("good")} makes it a turn and asks who plays what.`;
    return `${this.#cap("good")} makes it a turn: ${isolated(player)}, ${isolated(drill)}.`;
  }

  /** Makes the burst here a turn; a good stroke where there is none, or where a stroke stands. */
  async enter(): Promise<void> {
    const b = this.at(this.#frame);
    if (!b || this.bench.ledger.strokes.some((s) => s.frame === this.#frame)) return this.bench.strokes.log("good");
    const { player_id, drill_id, first, last } = b;
    if (b.open) {
      this.bench.notify(
        this.bench.detection.progress.state === "running"
          ? "Still listening: this play may go on, wait a moment."
          : `This clip is not heard to its end, and this play may go on: ${this.#cap("listen")} goes on with the listening.`,
        true,
      );
    } else if (this.bench.app.playerOf.has(player_id) && this.bench.app.drillOf.has(drill_id)) {
      await this.make([{ first, last, player_id, drill_id }]);
    } else {
      this.bench.viewer?.pause();
      this.bench.draft = { id: "", player_id, drill_id, first, last };
    }
  }

  /** Makes turns in one step; true when they are kept. */
  async make(turns: NewTurn[]): Promise<boolean> {
    const made = await this.bench.write(
      (clip) => api.make(clip, turns),
      (made) => {
        const [t] = made;
        const rest = this.bench.detection.play.bursts.length;
        const more =
          rest > 0
            ? ` ${this.#cap("burstOn")} goes to the next of ${counted(rest, "burst")} left.`
            : " All play of this clip is in turns now.";
        if (made.length > 1 || !t)
          return `Saved: ${counted(made.length, "turn")} in one step. ${this.bench.app.keymap.cap("undo")} takes ${made.length === 1 ? "it" : "them"} back.${more}`;
        const name = isolated(this.bench.app.playerOf.get(t.player_id)?.name ?? "the player");
        return `Saved: turn of ${name}, ${isolated(this.bench.app.drillOf.get(t.drill_id)?.name ?? "")}, frames ${t.first} to ${t.last}.${more}`;
      },
    );
    return made !== undefined;
  }

  join(frame = this.#frame): Promise<void> {
    return this.#change(
      (clip) => api.join(clip, frame),
      () => `Joined with the next: ${this.#wordsAt(frame)}. | splits it at the frame where you stand.`,
    );
  }

  split(frame = this.#frame): Promise<void> {
    return this.#change(
      (clip) => api.split(clip, frame),
      () =>
        `Split at ${this.bench.at(frame)}: ${counted(this.bench.detection.play.bursts.length, "burst")} now. & joins it with the next again.`,
    );
  }

  /** Sets how long play has to stop for a burst to end; 0: as learned. */
  setPause(seconds: number): Promise<void> {
    return this.#change(
      (clip) => api.setPause(clip, seconds),
      (p) =>
        `Saved: bursts of this clip are parted by pauses of more than ${p.pause.toFixed(1)} s, ${counted(p.bursts.length, "burst")} now.`,
    );
  }

  setOrder(players: Id[]): Promise<void> {
    return this.#change(
      async (clip) => {
        await api.setOrder(players);
        return api.list(clip);
      },
      () =>
        players.length === 0 ? "Saved: no order, each turn is the same player's as the one before." : "Saved: the order of the players.",
    );
  }

  list(): void {
    this.bench.viewer?.pause();
    this.listed = this.bench.viewer !== null;
  }

  /** Something that is kept beside the ledger. */
  async #change(work: (clip: Id) => Promise<Bursts>, done: (play: Bursts) => string): Promise<void> {
    await this.bench.write(work, done);
  }

  #wordsAt(frame: number): string {
    const b = this.at(frame);
    return b ? this.words(b).replace(/^P/, "p") : "one burst now";
  }

  get #frame(): number {
    return this.bench.viewer?.current ?? 0;
  }
}
