import { sessions, summary } from "../api";
import type { ExportFormat, FaultLine, Group, Id, MarkRow, Method, Share, Sheet, SummaryQuery, SummaryResult } from "../domain";
import type { App } from "./app.svelte";

/** The marks behind one number, opened for looking. */
export interface Opened {
  title: string;
  ids: Id[];
  rows: MarkRow[];
  loading: boolean;
}

/** One interval of the chart: a fault in the turns of one method. */
export interface RatePoint extends Share {
  code: string;
  label: string;
  method: Method;
  ids: Id[];
}

const NOTHING_CHOSEN: SummaryQuery = { players: [], drills: [], from: "", to: "", names: false };

/** Marks read at once for the list behind a number. */
const PAGE = 120;

export function groupKey(g: Group): string {
  if (g.kind === "drill") return `drill ${g.drill_id}`;
  return g.kind === "method" ? `method ${g.method}` : "all";
}

/** Rates per stroke for the chart: the most frequent faults, by method. */
export function ratePoints(sheet: Sheet, most = 10): RatePoint[] {
  const codes = sheet.all.faults.filter((f) => f.marks > 0 && f.per_stroke).slice(0, most);
  return codes.flatMap((f) =>
    sheet.methods.flatMap((g) => {
      const line = g.faults.find((l) => l.fault_id === f.fault_id);
      return line?.per_stroke && line.per_stroke.n > 0
        ? [{ ...line.per_stroke, code: f.code, label: f.label, method: g.method, ids: line.mark_ids }]
        : [];
    }),
  );
}

const percent = (v: number) => (v > 0 && v < 0.01 ? "<1" : String(Math.round(v * 100)));

/** "7 of 52 strokes, 13 % (7–25)". */
export function shareWords(s: Share): string {
  return `${s.x} of ${s.n} strokes, ${percent(s.rate)} % (${percent(s.low)}–${percent(s.high)})`;
}

/** "5 in 4.2 min, 1.2 a minute (0.4–2.8)". */
export function paceWords(p: NonNullable<FaultLine["per_minute"]>): string {
  const n = (v: number) => v.toFixed(1);
  return `${p.x} in ${n(p.minutes)} min, ${n(p.rate)} a minute (${n(p.low)}–${n(p.high)})`;
}

/** What the summary is asked for, its answer, and what of it is looked at. */
export class SummaryState {
  query = $state.raw<SummaryQuery>(NOTHING_CHOSEN);
  result = $state.raw<SummaryResult | null>(null);
  days = $state.raw<string[]>([]);
  sheetId = $state<Id>("");
  key = $state("all");
  opened = $state.raw<Opened | null>(null);
  exporting = $state(false);

  readonly sheet = $derived.by<Sheet | undefined>(() => this.result?.players.find((p) => p.player_id === this.sheetId) ?? this.result?.team);
  readonly groups = $derived<Group[]>(this.sheet ? [this.sheet.all, ...this.sheet.methods, ...this.sheet.drills] : []);
  readonly group = $derived<Group | undefined>(this.groups.find((g) => groupKey(g) === this.key) ?? this.groups[0]);
  readonly points = $derived<RatePoint[]>(this.sheet ? ratePoints(this.sheet) : []);

  #asked = 0;
  /** The library that the choice was made in. */
  #dir = "";

  constructor(private readonly app: App) {}

  listen(): () => void {
    return this.app.onChange(() => {
      if (this.#dir !== this.app.state.dir) {
        this.#dir = this.app.state.dir;
        this.query = { ...NOTHING_CHOSEN, names: this.query.names };
        this.look("");
      }
      if (this.result) void this.load();
    });
  }

  async load(): Promise<void> {
    const mine = ++this.#asked;
    await this.app.attempt(async () => {
      const [result, rows] = await Promise.all([summary.get(this.query), sessions.list()]);
      if (mine !== this.#asked) return;
      this.result = result;
      this.days = rows.map((s) => s.date);
    });
  }

  ask(change: Partial<SummaryQuery>): void {
    this.query = { ...this.query, ...change };
    void this.load();
  }

  /** Turns to the sheet of a player, or of the team for "". */
  look(player: Id): void {
    this.sheetId = player;
    this.key = "all";
  }

  toggle(which: "players" | "drills", id: Id): void {
    const now = this.query[which];
    this.ask({ [which]: now.includes(id) ? now.filter((i) => i !== id) : [...now, id] });
  }

  async open(title: string, ids: Id[]): Promise<void> {
    this.opened = { title, ids, rows: [], loading: true };
    await this.more();
  }

  /** Reads the next page of the opened list. */
  async more(): Promise<void> {
    const o = this.opened;
    if (!o) return;
    this.opened = { ...o, loading: true };
    await this.app.attempt(async () => {
      const rows = await summary.marks(o.ids.slice(o.rows.length, o.rows.length + PAGE));
      if (this.opened?.ids === o.ids) this.opened = { ...o, rows: [...o.rows, ...rows], loading: false };
    });
  }

  /** Writes the sheet that is looked at: a player's page holds no other player. */
  async export(format: ExportFormat): Promise<void> {
    this.exporting = true;
    const one = this.sheet?.player_id ?? "";
    this.app.tell("Choose where the file shall go; then it is written.");
    const query = one === "" ? this.query : { ...this.query, players: [one] };
    await this.app.attempt(async () => {
      const path = await summary.export(query, format);
      this.app.tell(path === "" ? "Nothing was written." : `Written: ${path}`);
    });
    this.exporting = false;
  }
}
