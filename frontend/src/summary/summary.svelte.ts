import { on, summary } from "../api/api";
import type {
  Comparison,
  ComparisonKind,
  Day,
  ExportFormat,
  Group,
  Id,
  MarkRow,
  Method,
  Overview,
  Phase,
  Ranking,
  Rung,
  Sheet,
  Side,
  SummaryQuery,
  SummaryResult,
  UnlookedTurn,
  Versus,
  Goals,
} from "../api/domain";
import type { App } from "../shared/app.svelte";
import { dayBefore } from "../shared/days";
import { groupKey, groupName, narrowed } from "./numbers";
import { ExportState } from "./exports.svelte";
import { isolated } from "../shared/isolate";

/** The marks behind one number, opened for looking. */
export interface Opened {
  title: string;
  /** Null until they are known. */
  ids: Id[] | null;
  rows: MarkRow[];
  /** False with `ids` null: they could not be read. */
  loading: boolean;
}

/** The turns behind a number of those that were not looked through, opened for looking. */
export interface OpenedTurns {
  title: string;
  /** The fault that they were not looked through for; none for any. */
  focus: Id[];
  /** How many there are; null until they are known. */
  total: number | null;
  /** The latest of them. */
  turns: UnlookedTurn[];
  /** False with `total` null: they could not be read. */
  loading: boolean;
}

/** A number whose marks shall be looked at: a fault or a phase, and where it was counted. */
export interface Behind {
  fault?: { fault_id: Id; code: string; label: string };
  phase?: Phase;
  /** Only marks that hang on strokes of this side. */
  side?: Side;
  group?: Group | undefined;
  player?: Id;
  day?: Day;
  /** Narrows the query further. */
  only?: Partial<SummaryQuery>;
  /** What stands in the place of the group's name. */
  where?: string;
  /** What stands in the place of the player's name. */
  whose?: string;
}

/** The tabs of a sheet. */
export type Tab = "faults" | "drills" | "time" | "ladder" | "ready" | "measured" | "players" | "compare";

const NOTHING_CHOSEN: SummaryQuery = {
  players: [],
  drills: [],
  methods: [],
  from: "",
  to: "",
  split: "",
  names: false,
  unconsented: false,
};

/** Marks read at once for the list behind a number. */
const PAGE = 120;

/** What the summary is asked for, its answer, and what of it is looked at. */
export class SummaryState {
  query = $state.raw<SummaryQuery>(NOTHING_CHOSEN);
  /** The team, and a line a player. */
  result = $state.raw<Overview | null>(null);
  /** The sheet that is looked at, in full. */
  full = $state.raw<SummaryResult | null>(null);
  goals = $state.raw<Goals>({ tries_cap: 0, irregular: 0.5 });
  sheetId = $state<Id>("");
  tab = $state<Tab>("faults");
  key = $state("all");
  compareKind = $state<ComparisonKind>("method");
  /** Whom the player is compared with: another, "" for the rest of the club, null for nobody yet. */
  rival = $state<Id | null>(null);
  versus = $state.raw<Versus | null>(null);
  /** The fault that players are ranked by, "" for the most frequent one. */
  rankedFault = $state<Id>("");
  ranking = $state.raw<Ranking | null>(null);
  opened = $state.raw<Opened | null>(null);
  unlooked = $state.raw<OpenedTurns | null>(null);
  exporting = $state(false);
  /** How many clips of those that the answer waits for are ready; null where it waits for none. */
  waiting = $state.raw<{ done: number; total: number } | null>(null);
  /** Why what is looked at could not be counted, "" where it was. */
  trouble = $state("");
  /** Outlives the screen: a film goes on while the coach is elsewhere. */
  readonly writing: ExportState;

  readonly sheet = $derived.by<Sheet | undefined>(() => {
    if (this.sheetId !== "") return this.full?.players.find((p) => p.player_id === this.sheetId);
    // The team's sheet in full is read where its sessions are looked at.
    return this.full?.team ?? this.result?.team;
  });
  /** All training days, once each. */
  readonly days = $derived<Day[]>([...new Set(this.result?.days ?? [])].sort());
  readonly groups = $derived<Group[]>(this.sheet ? [this.sheet.all, ...this.sheet.methods, ...this.sheet.drills] : []);
  readonly group = $derived<Group | undefined>(this.groups.find((g) => groupKey(g) === this.key) ?? this.groups[0]);
  /** The turns of the opened list of those that were not looked through, in its order. */
  readonly unlookedIds = $derived<Id[]>((this.unlooked?.turns ?? []).map((t) => t.turn_id));
  /** Whose sheet it is. */
  readonly name = $derived(this.result?.players.find((p) => p.player_id === this.sheetId)?.name ?? "Team");
  /** Whether the query leaves anything out. */
  readonly chosen = $derived(
    this.query.players.length + this.query.drills.length + this.query.methods.length > 0 || this.query.from !== "" || this.query.to !== "",
  );
  /** The choice, of the one player whose sheet it is. */
  readonly own = $derived<SummaryQuery>(this.sheetId === "" ? this.query : { ...this.query, players: [this.sheetId] });
  /** The tabs that the sheet has. */
  readonly tabs = $derived<Tab[]>(
    this.sheetId !== ""
      ? ["faults", "drills", "time", "ladder", "ready", "measured", "compare"]
      : ["faults", "drills", "time", "ladder", "ready", "measured", "players", "compare"],
  );

  #asked = 0;
  #filled = 0;
  /** The library that the choice was made in. */
  #dir = "";

  constructor(private readonly app: App) {
    this.writing = new ExportState(app);
  }

  listen(): () => void {
    const stopWriting = this.writing.listen();
    const stopWaiting = on("progress", (p) => {
      if (p.job === "summary") this.waiting = p.done < p.total ? p : null;
    });
    const stopChange = this.app.onChange(() => {
      if (this.#dir !== this.app.state.dir) {
        this.#dir = this.app.state.dir;
        this.query = { ...NOTHING_CHOSEN, names: this.query.names };
        this.full = null;
        this.versus = null;
        this.rival = null;
        this.sheetId = "";
        this.key = "all";
      }
      if (this.result) void this.load();
    });
    return () => {
      stopWriting();
      stopWaiting();
      stopChange();
    };
  }

  /** Reads what is looked at; where that fails the screen says why, and does not wait for it. */
  async #read(work: () => Promise<void>): Promise<void> {
    this.trouble = (await this.app.attempt(work)) ? "" : this.app.message.text;
  }

  /** What was asked for; undefined where something newer is wanted by now, which ends the older with an error that means nothing. */
  async #newest<T>(answer: Promise<T>, wanted: () => boolean): Promise<T | undefined> {
    try {
      const got = await answer;
      if (wanted()) return got;
    } catch (cause) {
      if (wanted()) throw cause;
    } finally {
      if (wanted()) this.waiting = null;
    }
    return undefined;
  }

  async load(): Promise<void> {
    const mine = ++this.#asked;
    await this.#read(async () => {
      const got = await this.#newest(Promise.all([summary.get(this.query), summary.goals()]), () => mine === this.#asked);
      if (!got) return;
      const [result, goals] = got;
      this.result = result;
      this.goals = goals;
      // Who has nothing in the choice has no sheet.
      if (!result.players.some((p) => p.player_id === this.sheetId)) this.sheetId = "";
      await this.#fill();
    });
  }

  /** Reads what the tab that is looked at needs beyond the overview. */
  async #fill(): Promise<void> {
    const mine = ++this.#filled;
    const team = this.sheetId === "";
    const fault = this.rankedFault || (this.result?.team.all.faults.find((f) => f.marks > 0)?.fault_id ?? "");
    const reading = Promise.all([
      team && this.tab !== "time" && this.tab !== "measured" ? null : summary.sheet(this.query, this.sheetId),
      team || this.rival === null ? null : summary.versus(this.query, this.sheetId, this.rival),
      this.tab === "players" && fault !== "" ? summary.ranking(this.query, fault) : null,
    ]);
    const got = await this.#newest(reading, () => mine === this.#filled);
    if (got) [this.full, this.versus, this.ranking] = got;
  }

  /** Shows a tab of the sheet. */
  showTab(tab: Tab): void {
    this.tab = tab;
    if (this.sheetId === "" && (tab === "time" || tab === "measured" || tab === "players")) void this.#read(() => this.#fill());
  }

  /** Puts the players in order for that fault. */
  rank(fault: Id): void {
    this.rankedFault = fault;
    void this.#read(() => this.#fill());
  }

  compare(kind: ComparisonKind): void {
    this.compareKind = kind;
  }

  /** Compares the player with another, or with the rest of the club for "". */
  async against(rival: Id): Promise<void> {
    this.rival = rival;
    this.versus = null;
    await this.#read(() => this.#fill());
  }

  ask(change: Partial<SummaryQuery>): void {
    this.query = { ...this.query, ...change };
    void this.load();
  }

  /** Takes everything out of the choice. */
  all(): void {
    this.ask({ ...NOTHING_CHOSEN, split: this.query.split, names: this.query.names });
  }

  /** Turns to the sheet of a player, or of the team for "". */
  look(player: Id, tab = this.tab): void {
    this.sheetId = player;
    this.tab = tab;
    this.key = "all";
    this.full = null;
    this.versus = null;
    if (this.rival === player) this.rival = null;
    if (!this.tabs.includes(this.tab)) this.tab = "faults";
    void this.#read(() => this.#fill());
  }

  toggle(which: "players" | "drills", id: Id): void {
    const now = this.query[which];
    this.ask({ [which]: now.includes(id) ? now.filter((i) => i !== id) : [...now, id] });
  }

  toggleMethod(m: Method): void {
    const now = this.query.methods;
    this.ask({ methods: now.includes(m) ? now.filter((i) => i !== m) : [...now, m] });
  }

  /** Opens a number: the marks that it counts. */
  async open(b: Behind): Promise<void> {
    const player = b.player ?? this.sheetId;
    const whose = b.whose ?? (player === "" ? "Team" : (this.result?.players.find((p) => p.player_id === player)?.name ?? ""));
    const where = b.where ?? b.day ?? (b.group ? groupName(b.group) : "");
    const what = b.fault ? `${b.fault.code} ${isolated(b.fault.label)}` : `Faults of the phase ${b.phase ?? ""}`;
    const title = [what, isolated(where), isolated(whose)].filter(Boolean).join(", ");
    const o: Opened = { title, ids: null, rows: [], loading: true };
    this.opened = o;
    let ids: Id[] | null = null;
    await this.app.attempt(async () => {
      const reading = summary.behind(
        { ...narrowed(this.query, player, b.group, b.day), ...b.only },
        { fault_id: b.fault?.fault_id ?? "", phase: b.phase ?? "", side: b.side ?? "" },
      );
      ids = (await this.#newest(reading, () => this.opened === o)) ?? null;
    });
    if (this.opened !== o) return;
    this.opened = { ...o, ids, loading: false };
    await this.more();
  }

  /** Opens the number of turns that were not looked through, for a fault or for any. */
  async openUnlooked(fault?: { fault_id: Id; code: string; label: string }, group?: Group): Promise<void> {
    const what = fault ? `Not looked through for ${fault.code} ${isolated(fault.label)}` : "Not looked through";
    const title = [what, group && group.kind !== "all" ? isolated(groupName(group)) : "", isolated(this.name)].filter(Boolean).join(", ");
    const o: OpenedTurns = { title, focus: fault ? [fault.fault_id] : [], total: null, turns: [], loading: true };
    this.unlooked = o;
    await this.app.attempt(async () => {
      const got = await this.#newest(
        summary.unlooked(narrowed(this.query, this.sheetId, group), fault?.fault_id ?? ""),
        () => this.unlooked === o,
      );
      if (got) this.unlooked = { ...o, ...got, loading: false };
    });
    if (this.unlooked === o) this.unlooked = { ...o, loading: false };
  }

  /** Opens one of the two parts of a comparison. */
  openPart(c: Comparison, which: "first" | "second"): Promise<void> {
    return this.open({ fault: c, where: c[which], ...this.#part(c, which === "first") });
  }

  #part(c: Comparison, first: boolean): Partial<Behind> {
    switch (c.kind) {
      case "method":
        return { only: { methods: [first ? "regular" : "irregular"] } };
      case "period":
        return { only: first ? { to: dayBefore(this.query.split) } : { from: this.query.split } };
      case "block": {
        const ball = first ? "passive block" : "active block";
        const fit = this.app.catalogue.drills.filter(
          (d) => d.ball === ball && (this.query.drills.length === 0 || this.query.drills.includes(d.id)),
        );
        return { only: { drills: fit.map((d) => d.id) } };
      }
      case "player": {
        // All players, also those outside the choice and retired ones.
        const others = this.app.catalogue.players.map((p) => p.id).filter((id) => id !== this.sheetId);
        return { whose: "", ...(first ? {} : { only: { players: this.rival ? [this.rival] : others } }) };
      }
      case "side":
        return { side: first ? "forehand" : "backhand" };
    }
  }

  /** Reads the next page of the opened list. */
  async more(): Promise<void> {
    const o = this.opened;
    const ids = o?.ids;
    if (!o || !ids) return;
    this.opened = { ...o, loading: true };
    let rows = o.rows;
    await this.app.attempt(async () => {
      rows = [...rows, ...(await summary.marks(ids.slice(rows.length, rows.length + PAGE)))];
    });
    if (this.opened?.ids === ids) this.opened = { ...o, rows, loading: false };
  }

  /** Saves a coach's ruling on a rung of the player on show. */
  async rule(rung: Rung, passed: boolean, reason: string, failed: (sentence: string) => void): Promise<boolean> {
    const kept = await this.app.write(
      () => summary.saveRuling({ id: "", player_id: this.sheetId, drill_id: rung.drill_id, coach_id: "", date: "", passed, reason }),
      () => `${isolated(rung.name)} is set to ${passed ? "passed" : "not passed"}. ${this.app.keymap.cap("undo")} takes it back.`,
      { failed: (e) => failed(e.sentence) },
    );
    if (kept) await this.load();
    return kept !== undefined;
  }

  /** Gives a rung back to what the turns say. */
  async unrule(rung: Rung): Promise<void> {
    await this.app.write(
      () => summary.removeRulings(this.sheetId, rung.drill_id),
      () => `${isolated(rung.name)} goes by its turns again.`,
      { reread: () => this.load() },
    );
  }

  /** Keeps what the club goals. */
  async saveGoals(w: Goals, failed: (sentence: string) => void): Promise<boolean> {
    const kept = await this.app.write(
      async () => {
        await summary.setGoals(w);
        return true;
      },
      () => "The club's goals are saved.",
      { reread: () => this.load(), failed: (e) => failed(e.sentence) },
    );
    return kept === true;
  }

  /** Writes the sheet that is looked at: a player's page holds no other player. */
  async export(format: ExportFormat): Promise<void> {
    this.exporting = true;
    this.app.notify("Choose where the file shall go; then it is written.");
    const query = this.own;
    await this.app.attempt(async () => {
      const path = await summary.export(query, format);
      this.app.wrote(path);
    });
    this.exporting = false;
  }
}
