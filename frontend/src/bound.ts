// The bound methods as the page sees them; api.ts alone calls them.
import type {
  AbsentClip,
  AddResult,
  Alike,
  Catalogue,
  Change,
  ClipRow,
  Coach,
  Day,
  Drill,
  ExportFormat,
  Farewell,
  Fault,
  Forgetting,
  Id,
  Kept,
  LibraryState,
  ListedClip,
  Look,
  Mark,
  MarkKind,
  MarkRow,
  Outcome,
  Overview,
  PassTurn,
  PassWish,
  PlayedMark,
  Player,
  Ranking,
  ReelDone,
  ReelQuery,
  Reminder,
  RosterResult,
  Ruling,
  Session,
  SessionPage,
  SessionsAsked,
  Shelter,
  Side,
  Sign,
  Stroke,
  SummaryQuery,
  SummaryResult,
  TableForm,
  ToDoAsked,
  ToDoList,
  ToDoRow,
  Turn,
  TurnsAsked,
  UnlookedTurns,
  Versus,
  Wishes,
} from "./domain";
import type { Bursts, Fix, HeardTurn, Hearing, NewTurn } from "./heard";

/** A list as the program sends it: an empty one may arrive as null. */
export type Sent<T> = T[] | null;

export type SentBursts = Omit<Bursts, "order" | "bursts"> & { order: Sent<Id>; bursts: Sent<Bursts["bursts"][number]> };

export interface Bound {
  Library: {
    State(): Promise<LibraryState>;
    Choose(): Promise<LibraryState>;
    SetCoach(id: Id): Promise<LibraryState>;
    NameCoach(name: string): Promise<LibraryState>;
    Undo(): Promise<Change>;
    Redo(): Promise<Change>;
  };
  Catalogue: {
    Get(): Promise<{ [K in keyof Catalogue]: Sent<Catalogue[K][number]> }>;
    SaveCoach(row: Coach): Promise<Coach>;
    SavePlayer(row: Player): Promise<Player>;
    SaveDrill(row: Drill): Promise<Drill>;
    SaveFault(row: Fault): Promise<Fault>;
    ImportRoster(): Promise<Omit<RosterResult, "rows"> & { rows: Sent<RosterResult["rows"][number]> }>;
  };
  Sessions: {
    List(page: SessionsAsked): Promise<Omit<SessionPage, "sessions"> & { sessions: Sent<Session & { clips: Sent<ListedClip>; removed: number }> }>;
    ToDo(asked: ToDoAsked): Promise<Omit<ToDoList, "rows"> & { rows: Sent<Omit<ToDoRow, "missing"> & { missing: Sent<string> }> }>;
    Absent(clips: Id[]): Promise<Sent<AbsentClip>>;
    Pick(): Promise<Sent<string>>;
    RecordedOn(paths: string[]): Promise<Sent<Day>>;
    Add(date: Day, paths: string[]): Promise<Sent<AddResult>>;
    Relink(clip: Id): Promise<{ clip: ClipRow; alike: Alike | null }>;
    Adopt(clip: Id, path: string): Promise<ClipRow>;
    Save(session: Session): Promise<unknown>;
    RemoveClip(clip: Id): Promise<unknown>;
  };
  Consent: {
    Reminders(): Promise<Sent<Reminder>>;
    Farewell(player: Id): Promise<Farewell>;
    Forget(what: Forgetting): Promise<Sent<string>>;
  };
  Safety: {
    Shelter(): Promise<Omit<Shelter, "backups"> & { backups: Sent<Kept> }>;
    BackUp(): Promise<string>;
    PickBackup(): Promise<string>;
    Restore(path: string): Promise<unknown>;
    Check(): Promise<{ ledger: Sent<string>; files: Sent<string> }>;
    Repair(): Promise<Sent<string>>;
  };
  Bench: {
    Open(clip: Id): Promise<unknown>;
    Choose(clip: Id, video: number, sound: number): Promise<unknown>;
    Grown(clip: Id): Promise<boolean>;
    ReadOn(clip: Id): Promise<unknown>;
    Ledger(clip: Id): Promise<{ turns: Sent<Turn>; strokes: Sent<Stroke>; marks: Sent<Mark>; looks: Sent<Look>; hangs_on: Record<Id, Id> | null }>;
    MarkPlayed(clip: Id, frame: number, fault: Id, rate: number): Promise<PlayedMark>;
    AddMark(clip: Id, frame: number, fault: Id): Promise<Mark>;
    SaveMark(id: Id, fault: Id, frame: number, note: string): Promise<Mark>;
    RemoveMark(id: Id): Promise<unknown>;
    HangMark(id: Id, stroke: Id): Promise<Mark>;
    DrawSign(id: Id, sign: Sign | { kind: "" }): Promise<Mark>;
  };
  Strokes: {
    Add(clip: Id, frame: number, outcome: Outcome): Promise<Stroke>;
    Save(id: Id, frame: number, side: Side, outcome: Outcome): Promise<Stroke>;
    Remove(id: Id): Promise<unknown>;
    Ready(clip: Id, frame: number): Promise<Stroke>;
    Answer(clip: Id, frame: number): Promise<Stroke>;
    LateFault(): Promise<Fault>;
    MarkLate(stroke: Id, fault: Id): Promise<Mark>;
  };
  Turns: {
    Save(turn: Turn): Promise<Turn>;
    Remove(id: Id): Promise<unknown>;
  };
  Hearing: {
    Start(clip: Id): Promise<Hearing>;
    Stop(clip: Id): Promise<Hearing>;
    Turns(clip: Id): Promise<Sent<HeardTurn>>;
    Try(turn: Id, least: number): Promise<HeardTurn>;
  };
  Settling: {
    TakeOver(turn: Id, fix: Fix): Promise<Turn>;
    Refuse(turn: Id): Promise<Turn>;
    Again(turn: Id): Promise<Turn>;
    Anchor(clip: Id, frame: number): Promise<Turn>;
    Least(turn: Id, least: number): Promise<Turn>;
  };
  Pass: {
    Turn(turn: Id, focus: readonly Id[]): Promise<Omit<PassTurn, "strokes"> & { strokes: Sent<PassTurn["strokes"][number]> }>;
    Mark(stroke: Id, fault: Id, frame: number): Promise<Mark>;
    Looked(turn: Id, focus: readonly Id[]): Promise<Look>;
    TakeBack(turn: Id): Promise<number>;
    Wish(): Promise<PassWish>;
    SetWish(wish: PassWish): Promise<unknown>;
    Turns(of: TurnsAsked): Promise<Sent<Id>>;
  };
  Bursts: {
    List(clip: Id): Promise<SentBursts>;
    SetPause(clip: Id, seconds: number): Promise<SentBursts>;
    Join(clip: Id, frame: number): Promise<SentBursts>;
    Split(clip: Id, frame: number): Promise<SentBursts>;
    Make(clip: Id, turns: NewTurn[]): Promise<Sent<Turn>>;
    SetOrder(players: Id[]): Promise<unknown>;
  };
  Summary: {
    Get(query: SummaryQuery): Promise<Overview>;
    Sheet(query: SummaryQuery, player: Id): Promise<SummaryResult>;
    Ranking(query: SummaryQuery, fault: Id): Promise<Ranking>;
    Versus(query: SummaryQuery, player: Id, rival: Id): Promise<Versus>;
    Behind(query: SummaryQuery, kind: MarkKind): Promise<Sent<Id>>;
    Unlooked(query: SummaryQuery, fault: Id): Promise<UnlookedTurns>;
    Marks(ids: Id[]): Promise<Sent<MarkRow>>;
    SaveRuling(row: Ruling): Promise<Ruling>;
    DropRulings(player: Id, drill: Id): Promise<unknown>;
    Wishes(): Promise<Wishes>;
    SetWishes(w: Wishes): Promise<unknown>;
    Export(query: SummaryQuery, format: ExportFormat): Promise<string>;
  };
  Documents: {
    Table(query: SummaryQuery, form: TableForm): Promise<string>;
    Reel(query: ReelQuery): Promise<ReelDone>;
    StopReel(): Promise<unknown>;
    Captions(clip: Id, chapters: boolean, names: boolean): Promise<string>;
  };
}
