import { consent } from "../api/api";
import type { Day, ErasePreview, Forgetting, Id, Player, Reminder } from "../api/domain";
import type { App } from "./app.svelte";
import { counted } from "./timeline";
import { isolated } from "./isolate";

/** One line of reminders: the players of one kind together. */
interface Seen {
  kind: Reminder["kind"];
  /** Names a single player; several are to be named after it. */
  say: string;
  players: { id: Id; name: string }[];
}

const NAMED = 3;

/** "Ana", "Ana and Ben", "Ana, Ben, Cleo and 4 others". */
export function named(names: readonly string[]): string {
  if (names.length <= 1) return names[0] ?? "";
  if (names.length <= NAMED) return `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
  const rest = names.length - NAMED;
  return `${names.slice(0, NAMED).join(", ")} and ${counted(rest, "other")}`;
}

const WORDS: Record<Reminder["kind"], { one: string; more: (n: number) => string }> = {
  due: { one: "was to be deleted by now", more: (n) => `${n} players were to be deleted by now` },
  over: { one: "is filmed, and the consent is over", more: (n) => `${n} players are filmed, and their consent is over` },
  missing: { one: "is filmed without a consent on record", more: (n) => `${n} players are filmed without a consent on record` },
};

/** Reminders of one kind in one line; the order of kinds stays. */
export function grouped(reminders: readonly Reminder[]): Seen[] {
  const kinds = [...new Set(reminders.map((r) => r.kind))];
  return kinds.map((kind) => {
    const of = reminders.filter((r) => r.kind === kind);
    const say = of.length === 1 ? `${isolated(of[0]?.name ?? "")} ${WORDS[kind].one}.` : `${WORDS[kind].more(of.length)}:`;
    return { kind, say, players: of.map((r) => ({ id: r.player_id, name: r.name })) };
  });
}

/** How a player's consent stands on a day, where that needs to be said. */
export function consentTag(p: Player, day: Day): string {
  if (p.delete_after && day > p.delete_after) return "to be deleted";
  if (!p.consent_from || day < p.consent_from) return "no consent on record";
  return p.consent_until && day > p.consent_until ? "consent over" : "";
}

/** The reminders about consent, read again after every change. */
export class Reminders {
  seen = $state.raw<Seen[]>([]);

  constructor(private readonly app: App) {}

  async load(): Promise<void> {
    await this.app.attempt(async () => {
      this.seen = grouped(await consent.reminders());
    });
  }

  listen(): () => void {
    void this.load();
    return this.app.onChange(() => void this.load());
  }
}

/** Erases one player: what the library holds, what the coach chooses to erase, and the result. */
export class Erasure {
  found = $state.raw<ErasePreview | null>(null);
  clips = $state.raw<ReadonlySet<Id>>(new Set());
  documents = $state.raw<ReadonlySet<string>>(new Set());
  films = $state(false);
  notes = $state(false);
  counts = $state(false);
  running = $state(false);
  /** Why what the library holds could not be read, "" for no error. */
  trouble = $state("");
  /** What the coach still has to do, in sentences; null until the player is erased. */
  left = $state.raw<string[] | null>(null);

  constructor(
    private readonly app: App,
    readonly player: Id,
  ) {}

  async load(): Promise<void> {
    this.trouble = "";
    const ok = await this.app.attempt(async () => {
      const f = await consent.dataOf(this.player);
      // Chosen to begin with: what shows this player alone.
      this.clips = new Set(f.clips.filter((c) => c.others.length === 0).map((c) => c.id));
      this.documents = new Set(f.documents.filter((d) => d.others.length === 0).map((d) => d.path));
      this.found = f;
    });
    if (!ok) this.trouble = this.app.message.text;
  }

  takeClip(id: Id, goes: boolean): void {
    this.clips = withOrWithout(this.clips, id, goes);
  }

  takeDocument(path: string, goes: boolean): void {
    this.documents = withOrWithout(this.documents, path, goes);
  }

  choice(): Forgetting {
    return {
      player_id: this.player,
      clips: [...this.clips],
      films: this.films,
      documents: [...this.documents],
      notes: this.notes,
      keep_counts: this.counts,
    };
  }

  async forget(): Promise<void> {
    this.running = true;
    await this.app.write(
      () => consent.forget(this.choice()),
      (left) => {
        this.left = left;
        return "The player is forgotten. Undo starts anew from here.";
      },
      { waiting: "Taking the player out and rewriting the library…" },
    );
    this.running = false;
    await this.app.reload();
  }
}

function withOrWithout<T>(set: ReadonlySet<T>, one: T, there: boolean): ReadonlySet<T> {
  const next = new Set(set);
  if (there) next.add(one);
  else next.delete(one);
  return next;
}
