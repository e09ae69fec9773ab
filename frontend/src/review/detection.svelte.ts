import { bursts, listening, on } from "../api/api";
import type { Id } from "../api/domain";
import type { Bursts, HeardTurn, ListeningProgress } from "../api/domain";
import type { Onset } from "../api/media";
import { envelope, onsets } from "../api/media";
import type { App } from "../shared/app.svelte";
import type { Span } from "./strip";

/** While the detector runs, its results are fetched at most this often, milliseconds. */
const OFTEN = 2000;

const NOTHING: ListeningProgress = { state: "", done: 0, all: 0, say: "" };

const NO_PLAY: Bursts = { pause: 0, learned: 0, set: false, sure: false, short: true, known: false, order: [], bursts: [] };

/** Peaks of a stretch of the clip, for drawing. */
interface Wave extends Span {
  peaks: Float32Array;
}

const NO_WAVE: Wave = { from: 0, to: 0, peaks: new Float32Array() };

/** What the detector hears in the open clip, and the strokes and bursts that it proposes. */
export class Detection {
  progress = $state.raw<ListeningProgress>(NOTHING);
  onsets = $state.raw<Onset[]>([]);
  turns = $state.raw<ReadonlyMap<Id, HeardTurn>>(new Map());
  /** The bursts of play that no turn covers. */
  play = $state.raw<Bursts>(NO_PLAY);
  /** Preview of another sensitivity, null for none. */
  trial = $state.raw<HeardTurn | null>(null);
  wave = $state.raw<Wave>(NO_WAVE);
  /** Counts up when there is more to draw. */
  news = $state(0);

  #clip: Id = "";
  #asked = 0;
  #tried = 0;
  #drawn = 0;
  #fetched = 0;

  constructor(private readonly app: App) {}

  /** Opens a clip and starts the detector in the background, unless the clip has no sound. */
  open(clip: Id, sound: boolean): void {
    this.close();
    this.#clip = clip;
    if (!sound) {
      this.progress = { ...NOTHING, state: "silent" };
      return;
    }
    void this.listen();
  }

  close(): void {
    this.#clip = "";
    this.progress = NOTHING;
    this.onsets = [];
    this.turns = new Map();
    this.play = NO_PLAY;
    this.trial = null;
    this.wave = NO_WAVE;
  }

  /** Follows the detector's events and calls `more` after each refresh; returns how to stop. */
  follow(more: () => void): () => void {
    return on("heard", (e) => {
      if (e.clip_id !== this.#clip) return;
      this.progress = e;
      if (e.state === "failed") this.app.notify(e.say, true);
      // Two hours hold many sounds: not all of them again with every piece of news.
      if (e.state === "running" && performance.now() - this.#fetched < OFTEN) return;
      void this.refresh(true).then(more);
    });
  }

  async listen(): Promise<void> {
    const clip = this.#clip;
    await this.app.attempt(async () => {
      const h = await listening.start(clip);
      if (clip !== this.#clip) return;
      // An event may have come before this answer, with later news.
      if (this.progress.done <= h.done) this.progress = h;
      await this.refresh(true);
    });
  }

  /** Starts, stops, or goes on. */
  toggle(): void {
    switch (this.progress.state) {
      case "silent":
        this.app.notify(
          `This clip has no sound: log its strokes by hand, with ${this.app.keymap.cap("good")} and ${this.app.keymap.cap("missed")}.`,
          true,
        );
        return;
      case "done":
        this.app.notify("The sound of this clip is heard to its end.");
        return;
      case "running":
        void this.app.attempt(async () => {
          const clip = this.#clip;
          const h = await listening.stop(clip);
          if (clip === this.#clip) this.progress = h;
          this.app.notify(`Listening is stopped; what was heard stays. ${this.app.keymap.cap("listen")} goes on with it.`);
        });
        return;
      default:
        void this.listen();
    }
  }

  /** Reads the proposals again, and with `sounds` the onsets too. */
  async refresh(sounds = false): Promise<void> {
    const clip = this.#clip;
    if (!clip || this.progress.state === "silent") return;
    const mine = ++this.#asked;
    if (sounds) this.#fetched = performance.now();
    await this.app.attempt(async () => {
      const [turns, play, heard] = await Promise.all([listening.turns(clip), bursts.list(clip), sounds ? onsets(clip) : this.onsets]);
      if (clip !== this.#clip) return;
      if (sounds) {
        this.onsets = heard;
        this.news++;
      }
      // Two answers may arrive out of order: the later question counts.
      if (mine !== this.#asked) return;
      this.turns = new Map(turns.map((t) => [t.turn_id, t]));
      this.play = play;
    });
  }

  /** Previews another sensitivity, without saving it. */
  async attempt(turn: Id, least: number): Promise<void> {
    const mine = ++this.#tried;
    await this.app.attempt(async () => {
      const trial = await listening.attempt(turn, least);
      if (mine === this.#tried) this.trial = trial;
    });
  }

  /** Fetches the peaks of a stretch, so fine that each pixel has its own. */
  async draw(s: Span, bins: number): Promise<void> {
    const clip = this.#clip;
    if (!clip || this.progress.state === "silent") return;
    const mine = ++this.#drawn;
    try {
      const peaks = await envelope(clip, bins, s.from, s.to);
      if (clip === this.#clip && mine === this.#drawn) this.wave = { from: s.from, to: s.to, peaks };
    } catch {
      // A strip without its wave still shows turns, strokes and marks.
    }
  }
}
