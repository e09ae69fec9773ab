import { bench as api, listening } from "../api/api";
import type { Fault, HeardTurn, Mark, Outcome, Side, Stroke, Turn } from "../api/domain";
import type { Fix } from "../api/domain";
import type { BenchCore } from "./core";
import { counted } from "../shared/timeline";
import { margin, marginWords, strokeBefore, turnAt, type RowStroke } from "./turns";

/** The steps of the sensitivity: the least confidence of what is proposed. */
export const STEPS: readonly number[] = [0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1];

/** How a proposal is selected: it has no row and no id. */
const HEARD = "heard ";

/** What is said where no turn counts what is entered. */
interface Bursts {
  noTurn(): string;
  uncounted(frame: number): string;
}

/** Strokes on the bench: logged by hand, taken over from the sound, timed. */
export class StrokeWork {
  #keep = 0;
  /** The trial that is being kept, or was kept last. */
  #kept: HeardTurn | null = null;

  constructor(private readonly bench: BenchCore & { bursts: Bursts }) {
    bench.app.flush = () => this.keepLeast();
  }

  /** The turn here where the sound still proposes strokes. */
  get #open(): Turn | undefined {
    const turn = this.bench.turn;
    return turn && !turn.settled && this.bench.proposals.length > 0 ? turn : undefined;
  }

  isSelected(p: RowStroke): boolean {
    return this.bench.selectedId === (p.logged?.stroke.id ?? HEARD + p.frame);
  }

  select(p: RowStroke): void {
    this.bench.selectedId = p.logged?.stroke.id ?? HEARD + p.frame;
    this.bench.viewer?.goTo(p.frame);
  }

  /** Goes to the next stroke of the turn, or to the one before. */
  walk(by: 1 | -1): void {
    const here = this.bench.viewer?.current ?? 0;
    const turn = turnAt(this.bench.ledger.turns, here);
    // The row follows the picture on show, which may be behind a held key.
    const row = turn?.id === this.bench.turn?.id ? this.bench.row : [];
    const next = by > 0 ? row.find((p) => p.frame > here) : row.findLast((p) => p.frame < here);
    if (next) return this.select(next);
    const notify = (s: string) => this.bench.app.notify(s);
    if (!turn) notify(this.bench.bursts.noTurn());
    else notify(by > 0 ? "No stroke comes after this in the turn." : "No stroke lies before this in the turn.");
  }

  /** A stroke of that outcome here: logged, or the one that stands here made so. */
  async log(outcome: Outcome): Promise<void> {
    const b = this.bench;
    if (!b.viewer || !b.coachKnown()) return;
    const frame = b.viewer.current;
    const here = b.ledger.strokes.find((s) => s.frame === frame);
    if (here?.outcome === outcome) {
      b.app.notify(`The stroke at ${b.at(frame)} is ${outcome} already.`);
      return;
    }
    if (here) return b.saveStroke(here, { outcome });
    if (this.#open) {
      const proposal = b.proposals.find((g) => g.frame === frame);
      return this.#takeOver({ do: proposal ? "outcome" : "add", frame, side: "", outcome, at: 0 }, `${outcome} stroke at ${b.at(frame)}`);
    }
    const made = await b.write(
      (clip) => api.addStroke(clip, frame, outcome),
      () => `Saved: ${outcome} stroke at ${b.at(frame)}${b.bursts.uncounted(frame)}.`,
    );
    if (made) b.selectedId = made.id;
  }

  /** Turns the side of the stroke at or before this frame round. */
  async flip(): Promise<void> {
    await this.#setSide((now) => (now === "forehand" ? "backhand" : "forehand"));
  }

  /** Sets the side of the stroke at or before this frame, and goes on to the next. */
  async side(side: Side): Promise<void> {
    const frame = await this.#setSide(() => side);
    const next = frame === undefined ? undefined : this.bench.row.find((p) => p.frame > frame);
    if (next) this.select(next);
  }

  /** Returns the frame of the stroke whose side was set. */
  async #setSide(to: (now: Side) => Side): Promise<number | undefined> {
    const b = this.bench;
    if (!b.viewer) return undefined;
    const frame = b.viewer.current;
    const entry = b.row.findLast((p) => p.frame <= frame);
    if (entry?.proposal) {
      const side = to(entry.side);
      await this.#takeOver(
        { do: "side", frame: entry.frame, side, outcome: "good", at: 0 },
        `the stroke at ${b.at(entry.frame)} is a ${side}`,
      );
      return entry.frame;
    }
    const found = entry?.logged?.stroke ?? strokeBefore(b.ledger.strokes, frame);
    if (!found) {
      b.app.notify(`There is no stroke at or before this frame: log one with ${b.app.keymap.cap("good")} first.`, true);
      return undefined;
    }
    const next = to(entry?.side ?? found.side ?? "");
    await b.write(
      () => api.saveStroke(found.id, found.frame, next, found.outcome),
      () => `Saved: the stroke at ${b.at(found.frame)} is a ${next} now.`,
    );
    return found.frame;
  }

  /** Removes the selected proposal; false where none is selected. */
  async removeProposed(): Promise<boolean> {
    const b = this.bench;
    if (!b.selectedId.startsWith(HEARD)) return false;
    const frame = Number(b.selectedId.slice(HEARD.length));
    if (!b.proposals.some((g) => g.frame === frame)) return false;
    if (b.viewer?.current !== frame) {
      b.viewer?.goTo(frame);
      b.app.notify(`This is the selected stroke: press ${b.app.keymap.cap("remove")} once more to remove it.`);
      return true;
    }
    await this.#takeOver({ do: "remove", frame, side: "", outcome: "good", at: 0 }, `no stroke at ${b.at(frame)}`);
    return true;
  }

  /** Takes the whole turn over, as it is proposed. */
  /** Takes over what is proposed; with `sides` false, without the sides that only the joints say. */
  async takeOver(sides = true): Promise<void> {
    const b = this.bench;
    if (!this.#mayPropose()) return;
    if (b.proposals.length === 0) {
      b.app.notify(
        `No more strokes are heard in this turn: ${b.app.keymap.cap("more")} takes in weaker sounds, ${b.app.keymap.cap("good")} logs a stroke by hand.`,
        true,
      );
      return;
    }
    await this.#takeOver(
      { do: sides ? "" : "unsided", frame: 0, side: "", outcome: "good", at: 0 },
      sides ? "" : "no side taken from the joints",
    );
  }

  async #takeOver(fix: Fix, what: string): Promise<void> {
    const b = this.bench;
    const turn = b.turn;
    if (!turn || !b.coachKnown()) return;
    await this.keepLeast();
    const heard = b.proposals.length;
    await b.write(
      () => listening.takeOver(turn.id, fix),
      () =>
        `Saved: ${what ? `${what}; ` : ""}${counted(heard, "heard stroke")} taken over in one step. ${this.bench.app.keymap.cap("undo")} takes ${heard === 1 ? "it" : "them"} back.`,
    );
    const made = b.ledger.strokes.find((s) => s.frame === fix.frame);
    b.selectedId = fix.do !== "" && fix.do !== "unsided" && made ? made.id : "";
  }

  async refuse(): Promise<void> {
    const turn = this.bench.turn;
    if (!turn || !this.#mayPropose()) return;
    await this.keepLeast();
    await this.bench.write(
      () => listening.refuse(turn.id),
      () => `Refused: nothing that was heard in this turn is proposed any more. ${this.bench.app.keymap.cap("hearAgain")} brings it back.`,
    );
  }

  async again(): Promise<void> {
    const b = this.bench;
    const turn = b.turn;
    if (!turn) {
      b.app.notify(b.bursts.noTurn(), true);
      return;
    }
    if (!turn.settled) {
      b.app.notify("What is heard in this turn is proposed already.");
      return;
    }
    b.question = null; // it speaks of a stroke by its number, which may be another one's now
    await b.write(
      () => listening.again(turn.id),
      () => "Listened again: strokes you have logged or corrected stay, the rest is proposed.",
    );
  }

  /** Says that this turn's player strikes at this frame. */
  async anchor(): Promise<void> {
    const b = this.bench;
    const frame = b.viewer?.current;
    if (frame === undefined) return;
    if (!turnAt(b.ledger.turns, frame)) {
      b.app.notify(b.bursts.noTurn(), true);
      return;
    }
    const before = b.heard?.player;
    await b.write(
      (clip) => listening.anchor(clip, frame),
      () => {
        const who = b.app.playerOf.get(b.turn?.player_id ?? "")?.name ?? "The player";
        const now = b.turn && b.detection.turns.get(b.turn.id)?.player;
        return `Saved: ${who} strikes at ${b.at(frame)}. ${now === before ? "So it was taken before." : "The strokes of the turn are proposed anew."}`;
      },
    );
  }

  #mayPropose(): boolean {
    const { app, turn, detection, heard, bursts } = this.bench;
    if (!turn) app.notify(bursts.noTurn(), true);
    else if (detection.progress.state === "silent")
      app.notify(`This clip has no sound: log its strokes by hand, with ${app.keymap.cap("good")} and ${app.keymap.cap("missed")}.`, true);
    else if (turn.settled) app.notify(`This turn is settled already: ${app.keymap.cap("hearAgain")} listens to it again.`);
    else if (!heard?.known)
      app.notify(
        detection.progress.state === "running"
          ? "Still listening: this turn is not heard to its end yet."
          : `This turn is not heard to its end: ${app.keymap.cap("listen")} goes on with the listening.`,
        true,
      );
    else return true;
    return false;
  }

  /** Proposes more (1) or fewer (-1); kept for the turn a moment later. */
  step(by: 1 | -1): void {
    if (!this.#mayPropose()) return;
    const now = this.bench.heard?.least ?? 0.5;
    const next = by > 0 ? STEPS.find((s) => s < now - 1e-9) : STEPS.findLast((s) => s > now + 1e-9);
    if (next === undefined) {
      this.bench.app.notify(by > 0 ? "Nothing weaker is heard." : "Only the surest are proposed already.");
      return;
    }
    this.try(next);
    this.bench.app.notify(`Proposed from a confidence of ${Math.round(100 * next)} % on.`);
  }

  /** Shows what a sensitivity proposes, and keeps it when no other follows soon. */
  try(least: number): void {
    const turn = this.bench.turn;
    if (!turn) return;
    void this.bench.detection.attempt(turn.id, least);
    clearTimeout(this.#keep);
    this.#keep = setTimeout(() => void this.keepLeast(), 1200);
  }

  async keepLeast(): Promise<void> {
    clearTimeout(this.#keep);
    const b = this.bench;
    const trial = b.detection.trial;
    if (!trial || trial === this.#kept) return; // it is being kept: once is enough
    this.#kept = trial;
    await b.write(
      () => listening.least(trial.turn_id, trial.least),
      () =>
        `Saved: ${counted(trial.strokes.length, "stroke")} proposed in this turn, from a confidence of ${Math.round(100 * trial.least)} % on.`,
    );
    if (b.detection.trial === trial) b.detection.trial = null;
  }

  /** The player is back in the ready position here. */
  async ready(): Promise<void> {
    await this.#time((clip, frame) => api.ready(clip, frame), "ready again");
  }

  /** The partner strikes here, where it cannot be heard. */
  async answer(): Promise<void> {
    await this.#time((clip, frame) => api.answer(clip, frame), "the partner strikes");
  }

  async #time(work: (clip: string, frame: number) => Promise<Stroke>, what: string): Promise<void> {
    const b = this.bench;
    const frame = b.viewer?.current;
    if (frame === undefined || !b.coachKnown()) return;
    const seconds = (n: number) => b.viewer?.timeline.seconds(n) ?? 0;
    const s = await b.write(
      (clip) => work(clip, frame),
      (s) => {
        const m = margin(s, seconds);
        if (m !== undefined) return `Saved: ${what} at ${b.at(frame)}: ${marginWords(m)}.`;
        return s.ready
          ? `Saved: ${what} at ${b.at(frame)}. The partner's next contact is not known: go to it and press ${b.app.keymap.cap("answerHere")}`
          : `Saved: ${what} at ${b.at(frame)}. Go to where the player is ready again and press ${b.app.keymap.cap("readyHere")}`;
      },
    );
    if (!s) return;
    b.selectedId = s.id;
    const m = margin(s, seconds);
    if (m !== undefined && m < 0) await this.#suggestLate(s, m);
  }

  async #suggestLate(s: Stroke, m: number): Promise<void> {
    const b = this.bench;
    await b.app.attempt(async () => {
      const fault = await api.lateFault();
      const marked = fault.id !== "" && b.logged.some((x) => x.stroke.id === s.id && x.marks.some((k: Mark) => k.fault_id === fault.id));
      if (marked) return;
      const place = b.logged.findIndex((x) => x.stroke.id === s.id);
      b.question = {
        text: `${place < 0 ? "This stroke" : `Stroke ${place + 1}`}: ${marginWords(m)}. Mark it as ${fault.id === "" ? "late return to ready" : fault.code}?`,
        yes: "Mark it",
        accept: () => void (fault.id === "" ? (b.lateness = s) : this.markLate(s, null)),
        no: "Leave it",
        refuse: () => b.app.notify("Left unmarked; the time stays."),
      };
    });
  }

  /** Marks a late return to ready, with a fault that is the team's for it from now on, if one is given. */
  async markLate(s: Stroke, fault: Fault | null): Promise<void> {
    const b = this.bench;
    b.lateness = null;
    const m = await b.write(
      () => api.markLate(s.id, fault?.id ?? ""),
      (m) => `Saved: ${b.app.faultOf.get(m.fault_id)?.code ?? "late"} at ${b.at(m.frame)}, on the stroke at frame ${s.frame}.`,
    );
    if (m) b.selectedId = m.id;
  }
}
