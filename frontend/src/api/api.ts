// Calls to the program behind the page, except for media (media.ts). Nothing else
// touches the bound methods or the events, so a change on the Go side changes this
// file alone.
import type {
  Adjustment,
  AgreementAsked,
  Bound,
  Coach,
  Consented,
  Day,
  DefinitionText,
  Drawing,
  Drill,
  Events,
  ExportFormat,
  FamilyQuery,
  Fault,
  Fix,
  Forgetting,
  Goals,
  Id,
  MarkKind,
  NewTurn,
  Outcome,
  Pair,
  PairQuery,
  PassSettings,
  PicturePlace,
  Player,
  ReelQuery,
  RulerPlaced,
  Ruling,
  SecondAsked,
  Session,
  SessionsAsked,
  ShownPicture,
  Side,
  Sign,
  SummaryQuery,
  TableForm,
  ToDoAsked,
  Turn,
  TurnsAsked,
  Verdict,
  WallQuery,
  WorkWanted,
} from "./domain";

/** An error with a sentence for the coach. `field` is set where one entry is at fault. */
export class AppError extends Error {
  constructor(
    readonly code: string,
    readonly field: string,
    readonly sentence: string,
  ) {
    super(sentence);
    this.name = "AppError";
  }

  /** Reads what a rejected call carries: "code: sentence" or "code/field: sentence". */
  static from(cause: unknown): AppError {
    if (cause instanceof AppError) return cause;
    const text = cause instanceof Error ? cause.message : String(cause);
    const parts = /^([a-z_]+)(?:\/([a-z_]+))?: ([^]*)$/.exec(text);
    if (!parts) return new AppError("internal", "", `Something went wrong: ${text}`);
    return new AppError(parts[1] ?? "internal", parts[2] ?? "", parts[3] ?? text);
  }
}

interface Runtime {
  EventsEmit(name: string, ...payload: number[]): void;
  EventsOn(name: string, heard: (payload: never) => void): () => void;
  OnFileDrop(heard: (x: number, y: number, paths: string[]) => void, useDropTarget: boolean): void;
  OnFileDropOff(): void;
  WindowFullscreen(): void;
  WindowUnfullscreen(): void;
  WindowIsFullscreen(): Promise<boolean>;
}

declare global {
  interface Window {
    go?: { main: Bound };
    runtime?: Runtime;
  }
}

function bound(): Bound {
  if (!window.go) throw new AppError("gone", "", "The program behind this page does not answer: close the window and start it again.");
  return window.go.main;
}

async function call<T>(work: (b: Bound) => Promise<T>): Promise<T> {
  try {
    return await work(bound());
  } catch (cause) {
    throw AppError.from(cause);
  }
}

export const library = {
  state: () => call((b) => b.Library.State()),
  choose: () => call((b) => b.Library.Choose()),
  invented: () => call((b) => b.Library.Invented()),
  own: () => call((b) => b.Library.Own()),
  setCoach: (id: Id) => call((b) => b.Library.SetCoach(id)),
  nameCoach: (name: string) => call((b) => b.Library.NameCoach(name)),
  undo: () => call((b) => b.Library.Undo()),
  redo: () => call((b) => b.Library.Redo()),
};

export const preferences = {
  all: () => call((b) => b.Preferences.All()),
  keep: (key: string, value: string) => call((b) => b.Preferences.Keep(key, value)),
  saveCard: (page: string) => call((b) => b.Preferences.SaveCard(page)),
};

export const catalogue = {
  get: () => call((b) => b.Catalogue.Get()),
  saveCoach: (row: Coach) => call((b) => b.Catalogue.SaveCoach(row)),
  savePlayer: (row: Player) => call((b) => b.Catalogue.SavePlayer(row)),
  saveDrill: (row: Drill) => call((b) => b.Catalogue.SaveDrill(row)),
  saveFault: (row: Fault) => call((b) => b.Catalogue.SaveFault(row)),
  giveConsent: (given: Consented) => call((b) => b.Catalogue.GiveConsent(given)),
  importRoster: () => call((b) => b.Catalogue.ImportRoster()),
};

export const cameras = {
  /** What is lined up with a clip. */
  of: (clip: Id) => call((b) => b.Cameras.Of(clip)),
  /** Looks in the background for clips of a session that show the same minutes; "cameras" events tell. */
  recognise: (session: Id) => call((b) => b.Cameras.Recognise(session)),
  stop: () => call((b) => b.Cameras.Stop()),
  /** Those among the clips of a session that were listened to. */
  proposed: (session: Id) => call((b) => b.Cameras.Proposed(session)),
  keep: (clip: Id, on: Id) => call((b) => b.Cameras.Keep(clip, on)),
  apart: (clip: Id) => call((b) => b.Cameras.Apart(clip)),
  /** Where an entry at a frame of a clip is kept. */
  kept: (clip: Id, frame: number) => call((b) => b.Cameras.Kept(clip, frame)),
};

export const sessions = {
  list: (asked: SessionsAsked) => call((b) => b.Sessions.List(asked)),
  addOn: (days: Day[], paths: string[]) => call((b) => b.Sessions.AddOn(days, paths)),
  change: (clip: Id, title: string, day: Day) => call((b) => b.Sessions.Change(clip, title, day)),
  beside: (clip: Id, by: 1 | -1) => call((b) => b.Sessions.Beside(clip, by)),
  toDo: (asked: ToDoAsked) => call((b) => b.Sessions.ToDo(asked)),
  /** Which of these clips' files are not in place; it waits for a drive that does not answer. */
  absent: (clips: Id[]) => call((b) => b.Sessions.Absent(clips)),
  pick: () => call((b) => b.Sessions.Pick()),
  /** On which day each of these films was recorded, "" where nobody knows; it waits for a drive that does not answer. */
  recordedOn: (paths: string[]) => call((b) => b.Sessions.RecordedOn(paths)),
  add: (date: Day, paths: string[]) => call((b) => b.Sessions.Add(date, paths)),
  relink: (clip: Id) => call((b) => b.Sessions.Relink(clip)),
  adopt: (clip: Id, path: string) => call((b) => b.Sessions.Adopt(clip, path)),
  save: (session: Session) => call((b) => b.Sessions.Save(session)),
  removeClip: (clip: Id) => call((b) => b.Sessions.RemoveClip(clip)),
};

export const agreement = {
  secondLooks: () => call((b) => b.Agreement.SecondLooks()),
  /** Which turns a second look would take. */
  choose: (asked: SecondAsked) => call((b) => b.Agreement.Choose(asked)),
  begin: (asked: SecondAsked) => call((b) => b.Agreement.Begin(asked)),
  finish: (id: Id) => call((b) => b.Agreement.Finish(id)),
  leave: (id: Id) => call((b) => b.Agreement.Leave(id)),
  compare: (asked: AgreementAsked) => call((b) => b.Agreement.Compare(asked)),
  compareAll: (from: Day, to: Day) => call((b) => b.Agreement.CompareAll(from, to)),
  decide: (verdict: Verdict) => call((b) => b.Agreement.Decide(verdict)),
};

/** What the team means by each fault. */
export const definitions = {
  list: () => call((b) => b.Definitions.List()),
  /** Refused with the field "older" until it is said what marks that are there already mean. */
  define: (text: DefinitionText) => call((b) => b.Definitions.Define(text)),
  /** What a picture shows of a fault; the same again takes it back. Returns what it shows now. */
  flip: (picture: ShownPicture) => call((b) => b.Definitions.Flip(picture)),
  /** Makes the page for the wall to look at; returns its address. */
  lookAtWall: (q: WallQuery) => call((b) => b.Definitions.LookAtWall(q)),
  /** Asks for a file; the path is "" where none was chosen. */
  writeWall: (q: WallQuery) => call((b) => b.Definitions.WriteWall(q)),
};

/** Tests of the coach who marks on strokes of which the team knows what is there. */
export const trials = {
  list: () => call((b) => b.Agreement.Tests()),
  begin: (coach: Id, seed: number) => call((b) => b.Agreement.BeginTest(coach, seed)),
  answer: (stroke: Id, faults: readonly Id[]) => call((b) => b.Agreement.AnswerTest(stroke, faults)),
  finish: () => call((b) => b.Agreement.FinishTest()),
  leave: () => call((b) => b.Agreement.LeaveTest()),
};

export const consent = {
  reminders: () => call((b) => b.Consent.Reminders()),
  /** What the library holds about a player, before it is erased. */
  dataOf: (player: Id) => call((b) => b.Consent.Preview(player)),
  forget: (what: Forgetting) => call((b) => b.Consent.Forget(what)),
};

/** Work that goes to other libraries and comes from them, in files. */
export const exchange = {
  handed: () => call((b) => b.Exchange.Handed()),
  /** These two ask for a file; "" where none was chosen. */
  write: (wanted: WorkWanted) => call((b) => b.Exchange.Write(wanted)),
  pick: () => call((b) => b.Exchange.Pick()),
  /** What taking a file in would come to, with answers by the keys of the questions. */
  preview: (file: string, answers: Record<string, string>) => call((b) => b.Exchange.Preview(file, answers)),
  /** Takes a file in; false where the films were to be copied and no folder was chosen. */
  take: (file: string, answers: Record<string, string>, films: boolean) => call((b) => b.Exchange.Take(file, answers, films)),
};

export const safety = {
  status: () => call((b) => b.Safety.Status()),
  /** These two ask for a file; "" where none was chosen. */
  backUp: () => call((b) => b.Safety.BackUp()),
  pickBackup: () => call((b) => b.Safety.PickBackup()),
  restore: (path: string) => call((b) => b.Safety.Restore(path)),
  check: () => call((b) => b.Safety.Check()),
  /** Sentences about what could not be kept. */
  repair: () => call((b) => b.Safety.Repair()),
};

export const bench = {
  open: (clip: Id) => call((b) => b.Bench.Open(clip)),
  /** Looks at a clip by another video or sound, counted from 1; 0 leaves that as it is. Open it anew then. */
  choose: (clip: Id, video: number, sound: number) => call((b) => b.Bench.Choose(clip, video, sound)),
  /** Whether a recording has more in it than is known. */
  grown: (clip: Id) => call((b) => b.Bench.Grown(clip)),
  /** Takes that over; an index event follows. */
  readOn: (clip: Id) => call((b) => b.Bench.ReadOn(clip)),
  ledger: (clip: Id) => call((b) => b.Bench.Ledger(clip)),
  addMark: (clip: Id, frame: number, fault: Id) => call((b) => b.Bench.AddMark(clip, frame, fault)),
  /** Marks a fault whose key was pressed while the clip played at a rate, and its picture had stood for so many seconds. */
  markPlayed: (clip: Id, frame: number, fault: Id, rate: number, still: number) =>
    call((b) => b.Bench.MarkPlayed(clip, frame, fault, rate, still)),
  saveMark: (id: Id, fault: Id, frame: number, note: string) => call((b) => b.Bench.SaveMark(id, fault, frame, note)),
  removeMark: (id: Id) => call((b) => b.Bench.RemoveMark(id)),
  addStroke: (clip: Id, frame: number, outcome: Outcome) => call((b) => b.Strokes.Add(clip, frame, outcome)),
  saveStroke: (id: Id, frame: number, side: Side, outcome: Outcome) => call((b) => b.Strokes.Save(id, frame, side, outcome)),
  removeStroke: (id: Id) => call((b) => b.Strokes.Remove(id)),
  saveTurn: (turn: Turn) => call((b) => b.Turns.Save(turn)),
  removeTurn: (id: Id) => call((b) => b.Turns.Remove(id)),
  hangMark: (id: Id, stroke: Id) => call((b) => b.Bench.HangMark(id, stroke)),
  drawSign: (id: Id, sign: Sign | null) => call((b) => b.Bench.DrawSign(id, sign)),
  ready: (clip: Id, frame: number) => call((b) => b.Strokes.Ready(clip, frame)),
  answer: (clip: Id, frame: number) => call((b) => b.Strokes.Answer(clip, frame)),
  lateFault: () => call((b) => b.Strokes.LateFault()),
  markLate: (stroke: Id, fault: Id) => call((b) => b.Strokes.MarkLate(stroke, fault)),
};

/** A pass over strokes, and who has looked. No focus is every fault in use. */
export const pass = {
  turn: (turn: Id, focus: readonly Id[]) => call((b) => b.Pass.Turn(turn, focus)),
  /** Marks a stroke: at a frame, or where the fault is plain to see where that is below 0. */
  mark: (stroke: Id, fault: Id, frame: number) => call((b) => b.Pass.Mark(stroke, fault, frame)),
  looked: (turn: Id, focus: readonly Id[]) => call((b) => b.Pass.Looked(turn, focus)),
  takeBack: (turn: Id) => call((b) => b.Pass.TakeBack(turn)),
  settings: () => call((b) => b.Pass.Settings()),
  setSettings: (s: PassSettings) => call((b) => b.Pass.SetSettings(s)),
  turns: (of: Partial<TurnsAsked>) => call((b) => b.Pass.Turns({ session_id: "", clip_id: "", player_id: "", marks: [], ...of })),
};

export const listening = {
  start: (clip: Id) => call((b) => b.Listening.Start(clip)),
  stop: (clip: Id) => call((b) => b.Listening.Stop(clip)),
  turns: (clip: Id) => call((b) => b.Listening.Turns(clip)),
  attempt: (turn: Id, least: number) => call((b) => b.Listening.Try(turn, least)),
  takeOver: (turn: Id, fix: Fix) => call((b) => b.Settling.TakeOver(turn, fix)),
  refuse: (turn: Id) => call((b) => b.Settling.Refuse(turn)),
  again: (turn: Id) => call((b) => b.Settling.Again(turn)),
  anchor: (clip: Id, frame: number) => call((b) => b.Settling.Anchor(clip, frame)),
  least: (turn: Id, least: number) => call((b) => b.Settling.Least(turn, least)),
};

export const bursts = {
  list: (clip: Id) => call((b) => b.Bursts.List(clip)),
  /** 0 leaves it to what is learned. */
  setPause: (clip: Id, seconds: number) => call((b) => b.Bursts.SetPause(clip, seconds)),
  join: (clip: Id, frame: number) => call((b) => b.Bursts.Join(clip, frame)),
  split: (clip: Id, frame: number) => call((b) => b.Bursts.Split(clip, frame)),
  /** All in one step. */
  make: (clip: Id, turns: NewTurn[]) => call((b) => b.Bursts.Make(clip, turns)),
  setOrder: (players: Id[]) => call((b) => b.Bursts.SetOrder(players)),
};

/** The table as a ruler. Places are pixels of the clip's picture. */
export const ruler = {
  read: (clip: Id) => call((b) => b.Ruler.Read(clip)),
  /** What would be shown if that were laid; nothing is kept. */
  attempt: (clip: Id, placed: RulerPlaced) => call((b) => b.Ruler.Try(clip, placed)),
  /** Lays it; `pull` also pulls it onto the lines of the picture. */
  lay: (clip: Id, placed: RulerPlaced, pull: boolean) => call((b) => b.Ruler.Lay(clip, placed, pull)),
  /** The ruler of another clip of the session that fits this one too. */
  suggest: (clip: Id, frame: number) => call((b) => b.Ruler.Suggest(clip, frame)),
  /** The table as it is found without a click. */
  find: (clip: Id, frame: number) => call((b) => b.Ruler.Find(clip, frame)),
  /** In which part of the clip it holds: a camera that was knocked shows the table elsewhere. */
  holds: (clip: Id) => call((b) => b.Ruler.Holds(clip)),
  remove: (clip: Id) => call((b) => b.Ruler.Remove(clip)),
  measure: (clip: Id, points: readonly PicturePlace[], sd: number) => call((b) => b.Ruler.Measure(clip, points, sd)),
};

/** What is measured of the strokes of a clip. */
export const measures = {
  read: (clip: Id) => call((b) => b.Measures.Read(clip)),
  watch: (clip: Id) => call((b) => b.Measures.Watch(clip)),
  stop: () => call((b) => b.Measures.Stop()),
  /** The near player of a picture that was looked at, as lines in its pixels. */
  body: (clip: Id, frame: number) => call((b) => b.Measures.Body(clip, frame)),
  /** The limit of a fault that the marks of the clip tell. */
  limit: (clip: Id, fault: Id) => call((b) => b.Measures.Limit(clip, fault)),
  /** The measured strokes that a query asks for, over all their clips. */
  strokes: (query: SummaryQuery) => call((b) => b.Measures.Strokes(query)),
  /** The limit of a fault that the marks of these tell. */
  limitOver: (query: SummaryQuery, fault: Id) => call((b) => b.Measures.LimitOver(query, fault)),
};

export const summary = {
  /** The team, and a line a player. */
  get: (query: SummaryQuery) => call((b) => b.Summary.Get(query)),
  /** The players in order for one fault. */
  ranking: (query: SummaryQuery, fault: Id) => call((b) => b.Summary.Ranking(query, fault)),
  /** One player's sheet, or the team's for "". */
  sheet: (query: SummaryQuery, player: Id) => call((b) => b.Summary.Sheet(query, player)),
  /** A player set against another, or the rest of the club for "". */
  versus: (query: SummaryQuery, player: Id, rival: Id) => call((b) => b.Summary.Versus(query, player, rival)),
  /** The marks of one kind in all that the query asks for. */
  behind: (query: SummaryQuery, kind: MarkKind) => call((b) => b.Summary.Behind(query, kind)),
  /** The turns that were not looked through for a fault, or for some fault in use for "". */
  unlooked: (query: SummaryQuery, fault: Id) => call((b) => b.Summary.Unlooked(query, fault)),
  marks: (ids: Id[]) => call((b) => b.Summary.Marks(ids)),
  saveRuling: (row: Ruling) => call((b) => b.Summary.SaveRuling(row)),
  removeRulings: (player: Id, drill: Id) => call((b) => b.Summary.RemoveRulings(player, drill)),
  goals: () => call((b) => b.Summary.Goals()),
  setGoals: (g: Goals) => call((b) => b.Summary.SetGoals(g)),
  export: (query: SummaryQuery, format: ExportFormat) => call((b) => b.Summary.Export(query, format)),
};

export const pictures = {
  of: (clip: Id) => call((b) => b.Pictures.Of(clip)),
  adjust: (clip: Id, a: Adjustment) => call((b) => b.Pictures.Adjust(clip, a)),
  drawings: (clip: Id) => call((b) => b.Pictures.Drawings(clip)),
  draw: (d: Drawing) => call((b) => b.Pictures.Draw(d)),
  wipe: (id: Id) => call((b) => b.Pictures.Wipe(id)),
};

export const pairs = {
  list: () => call((b) => b.Pairs.List()),
  /** What can stand beside a picture. */
  choices: () => call((b) => b.Pairs.Choices()),
  /** Keeps a pair, a new one where it has no ID. */
  keep: (pair: Pair) => call((b) => b.Pairs.Keep(pair)),
  remove: (id: Id) => call((b) => b.Pairs.Remove(id)),
  /** Makes a page with both pictures; returns its address. */
  preview: (query: PairQuery) => call((b) => b.Pairs.Preview(query)),
  /** Writes a film of both; "progress" events of the job "pair" tell how far it is. */
  film: (query: PairQuery) => call((b) => b.Pairs.Film(query)),
};

export const documents = {
  table: (query: SummaryQuery, form: TableForm) => call((b) => b.Documents.Table(query, form)),
  reel: (query: ReelQuery) => call((b) => b.Documents.Reel(query)),
  stopReel: () => call((b) => b.Documents.StopReel()),
  families: (query: FamilyQuery) => call((b) => b.Documents.FamilyPages(query)),
  /** Makes a page to look at; returns its address. */
  preview: (query: SummaryQuery, family: boolean, notes: boolean) => call((b) => b.Documents.Preview(query, family, notes)),
  open: (path: string) => call((b) => b.Documents.Open(path)),
  showInFolder: (path: string) => call((b) => b.Documents.ShowInFolder(path)),
  captions: (clip: Id, chapters: boolean, names: boolean) => call((b) => b.Documents.Captions(clip, chapters, names)),
};

/** Listens to one event; the returned function stops it. */
export function on<K extends keyof Events>(name: K, heard: (payload: Events[K]) => void): () => void {
  return window.runtime?.EventsOn(name, heard) ?? (() => {});
}

/** Hears files dropped anywhere on the window; the returned function stops it. */
export function onFileDrop(heard: (paths: string[]) => void): () => void {
  window.runtime?.OnFileDrop((_x, _y, paths) => heard(paths), false);
  return () => window.runtime?.OnFileDropOff();
}

/** The program's window on the desktop. */
export const ownWindow = {
  /** Over all of the screen, or as before. */
  fill: (full: boolean) => (full ? window.runtime?.WindowFullscreen() : window.runtime?.WindowUnfullscreen()),
  filled: () => window.runtime?.WindowIsFullscreen() ?? Promise.resolve(false),
  /** Whether it shows pictures itself, over the page: see app/motion.go. A browser does not. */
  shows: () => "webkit" in globalThis && navigator.platform.startsWith("Linux"),
  /**
   * Shows a picture that was made ready under a number, all in pixels of the screen: where
   * it lies, and rectangles of x, y, width and height, within the first of which it is seen
   * but for the others. A number below 0 shows none. `event` grows from call to call, since
   * the program may hear of them in another order.
   */
  show: (event: number, number: number, place: readonly number[] = [], rectangles: readonly number[] = []) =>
    window.runtime?.EventsEmit("picture", event, number, ...place, ...rectangles),
};
