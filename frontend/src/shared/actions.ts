// Every action that has a key, with the keys that it has to begin with: the one source for
// what works, for the sheet of keys, for changing them and for the card. Letters and digits
// are the faults' (but in the list of what is to do, in settling and while something is drawn,
// where no fault is marked).

/** Where an action works; that of a picture on the bench and in a pass. The ruler and drawing lie over the bench: their keys may be the bench's too. */
type Scope = "everywhere" | "sessions" | "todo" | "settle" | "test" | "review" | "picture" | "ruler" | "drawing" | "pass" | "beside";

interface Action {
  /** Chords as `chord` spells them, or "@" and a key's place as `KeyboardEvent.code` names it. */
  keys: readonly string[];
  help: string;
  group: string;
  scope: Scope;
  /** Goes on while the key is held; others act once a press. */
  held?: boolean;
  /** Works in a dialog too. */
  dialogs?: boolean;
}

const MOVE = "Moving in the clip";
const PLAY = "Playing";
const ENTER = "Turns and strokes";
const BURST = "Turns from the sound";
const HEARD = "Strokes from the sound";
const READY = "Readiness, and what is asked";
const LIST = "The list";
const LOOK = "Looking through";
const MEASURE = "Measuring";
const PASS = "The pass";
const PICTURE = "The picture";
const RULER = "The ruler";
const BESIDE = "Two pictures side by side";
const DRAW = "Drawing";
const TODO = "What is to do";
const SESSIONS = "Sessions";
const SETTLE = "Settling";
const TEST = "The self-test";
const ALL = "Everywhere";

const table = {
  undo: { keys: ["Ctrl+z"], help: "Undo", group: ALL, scope: "everywhere" },
  redo: { keys: ["Ctrl+Shift+z", "Ctrl+y"], help: "Do again what was undone", group: ALL, scope: "everywhere" },
  sessions: { keys: ["F5"], help: "Sessions", group: ALL, scope: "everywhere" },
  review: { keys: ["F6"], help: "Review", group: ALL, scope: "everywhere" },
  summary: { keys: ["F7"], help: "Summary", group: ALL, scope: "everywhere" },
  club: { keys: ["F8"], help: "Club", group: ALL, scope: "everywhere" },
  agreement: {
    keys: ["F12"],
    help: "Agreement: second looks, how far coaches agree, settling, definitions, self-test",
    group: ALL,
    scope: "everywhere",
  },
  guide: { keys: ["F1"], help: "The guide, at the chapter of what you are doing", group: ALL, scope: "everywhere", dialogs: true },
  keys: { keys: ["?"], help: "This sheet of keys", group: ALL, scope: "everywhere" },
  fullScreen: { keys: ["F11"], help: "Over all of the screen, and back", group: ALL, scope: "everywhere" },
  textLarger: { keys: ["Alt++", "Alt+="], help: "Larger text", group: ALL, scope: "everywhere" },
  textSmaller: { keys: ["Alt+-"], help: "Smaller text", group: ALL, scope: "everywhere" },
  textUsual: { keys: ["Alt+0"], help: "Text in its usual size", group: ALL, scope: "everywhere" },

  toDo: { keys: ["F10"], help: "What is to do: open the list, or close it", group: SESSIONS, scope: "sessions" },
  clipRight: { keys: ["ArrowRight"], help: "Next clip", group: SESSIONS, scope: "sessions", held: true },
  clipLeft: { keys: ["ArrowLeft"], help: "Clip before", group: SESSIONS, scope: "sessions", held: true },
  clipDown: { keys: ["ArrowDown"], help: "Clip below", group: SESSIONS, scope: "sessions", held: true },
  clipUp: { keys: ["ArrowUp"], help: "Clip above", group: SESSIONS, scope: "sessions", held: true },
  openClip: { keys: ["Enter"], help: "Review the clip", group: SESSIONS, scope: "sessions" },
  passClip: { keys: ["Shift+Enter"], help: "A pass over the strokes of the clip", group: SESSIONS, scope: "sessions" },
  addClips: { keys: ["Insert"], help: "Add clips", group: SESSIONS, scope: "sessions" },

  settleBoth: { keys: ["1"], help: "Both are right", group: SETTLE, scope: "settle" },
  settleFirst: { keys: ["2"], help: "Only the first is right", group: SETTLE, scope: "settle" },
  settleSecond: { keys: ["3"], help: "Only the second is right", group: SETTLE, scope: "settle" },
  settleNeither: { keys: ["4"], help: "Neither is right", group: SETTLE, scope: "settle" },
  settleAnother: { keys: ["5"], help: "It was another fault", group: SETTLE, scope: "settle" },
  settleNext: { keys: ["ArrowDown", "ArrowRight"], help: "Next stroke that differs", group: SETTLE, scope: "settle", held: true },
  settleBefore: { keys: ["ArrowUp", "ArrowLeft"], help: "The one before", group: SETTLE, scope: "settle", held: true },
  settleOpen: { keys: ["Enter"], help: "Open it in Review", group: SETTLE, scope: "settle" },

  testAnswer: { keys: ["Enter"], help: "That is all on this stroke: the next one", group: TEST, scope: "test" },
  testNext: { keys: ["ArrowDown", "ArrowRight"], help: "Next stroke of the test", group: TEST, scope: "test", held: true },
  testBefore: { keys: ["ArrowUp", "ArrowLeft"], help: "The one before", group: TEST, scope: "test", held: true },

  toDoDown: { keys: ["ArrowDown"], help: "Next in the list", group: TODO, scope: "todo", held: true },
  toDoUp: { keys: ["ArrowUp"], help: "The one before", group: TODO, scope: "todo", held: true },
  toDoFurther: { keys: ["PageDown"], help: "Ten further", group: TODO, scope: "todo", held: true },
  toDoBack: { keys: ["PageUp"], help: "Ten back", group: TODO, scope: "todo", held: true },
  toDoFirst: { keys: ["Home"], help: "First in the list", group: TODO, scope: "todo" },
  toDoLast: { keys: ["End"], help: "Last in the list", group: TODO, scope: "todo" },
  toDoBegin: { keys: ["Enter"], help: "Begin there: look through the turns, or open the clip", group: TODO, scope: "todo" },
  toDoPlayer: { keys: ["p"], help: "Choose a player", group: TODO, scope: "todo" },
  toDoFault: { keys: ["f"], help: "Choose a fault", group: TODO, scope: "todo" },
  toDoClose: { keys: ["Escape"], help: "Back to the sessions", group: TODO, scope: "todo" },

  frameBack: { keys: ["ArrowLeft"], help: "One frame back", group: MOVE, scope: "review", held: true },
  frameOn: { keys: ["ArrowRight"], help: "One frame forward", group: MOVE, scope: "review", held: true },
  tenBack: { keys: ["Shift+ArrowLeft"], help: "Ten frames back", group: MOVE, scope: "review", held: true },
  tenOn: { keys: ["Shift+ArrowRight"], help: "Ten frames forward", group: MOVE, scope: "review", held: true },
  secondBack: { keys: ["PageUp"], help: "One second back", group: MOVE, scope: "review", held: true },
  secondOn: { keys: ["PageDown"], help: "One second forward", group: MOVE, scope: "review", held: true },
  firstFrame: { keys: ["Home"], help: "First frame", group: MOVE, scope: "review" },
  lastFrame: { keys: ["End"], help: "Last frame", group: MOVE, scope: "review" },
  goTo: { keys: ["Ctrl+g"], help: "Go to a frame by its number, or to a time", group: MOVE, scope: "review" },
  clipNext: { keys: ["Ctrl+PageDown"], help: "Next clip", group: MOVE, scope: "review" },
  clipBefore: { keys: ["Ctrl+PageUp"], help: "Clip before", group: MOVE, scope: "review" },
  cameraNext: { keys: ["Ctrl+k"], help: "The next camera that shows this moment", group: MOVE, scope: "review" },
  fieldBack: { keys: ["Ctrl+ArrowLeft"], help: "One field back, in an interlaced clip", group: MOVE, scope: "review", held: true },
  fieldOn: { keys: ["Ctrl+ArrowRight"], help: "One field forward, in an interlaced clip", group: MOVE, scope: "review", held: true },
  play: { keys: ["Space"], help: "Play and pause", group: PLAY, scope: "review" },
  slower: { keys: ["Ctrl+ArrowDown"], help: "Slower", group: PLAY, scope: "review" },
  faster: { keys: ["Ctrl+ArrowUp"], help: "Faster", group: PLAY, scope: "review" },
  loopFrom: { keys: ["("], help: "A loop starts at this frame", group: PLAY, scope: "review" },
  loopTo: { keys: [")"], help: "The loop ends at this frame", group: PLAY, scope: "review" },
  loop: { keys: ["*"], help: "Loop over the turn here, or end the loop", group: PLAY, scope: "review" },
  readOn: { keys: ["F9"], help: "Read the rest of a recording that has grown", group: PLAY, scope: "review" },

  passHere: { keys: ["Shift+Enter"], help: "A pass over the strokes of this turn and those after it", group: LOOK, scope: "review" },
  lookedThrough: {
    keys: ["="],
    help: "You have looked through this turn for every fault; again takes it back",
    group: LOOK,
    scope: "review",
  },
  nextUnlooked: {
    keys: ["Ctrl+u"],
    help: "Next turn that is not looked through, in this clip or another",
    group: LOOK,
    scope: "review",
  },
  repeatFault: { keys: ["Shift+Space"], help: "The last fault once more, at this frame", group: LOOK, scope: "review" },

  turnStart: { keys: ["["], help: "A turn starts at this frame", group: ENTER, scope: "review" },
  turnEnd: { keys: ["]"], help: "The turn ends at this frame", group: ENTER, scope: "review" },
  good: {
    keys: ["Enter"],
    help: "Good stroke here; makes the one here good. In play that no turn covers: makes it a turn",
    group: ENTER,
    scope: "review",
  },
  missed: { keys: ["-"], help: "Missed stroke here; makes the one here missed", group: ENTER, scope: "review" },
  otherSide: { keys: ["/"], help: "Other side for the stroke at or before this frame", group: ENTER, scope: "review" },
  forehand: { keys: ["Ctrl+f"], help: "A forehand, the stroke at or before this frame; on to the next", group: ENTER, scope: "review" },
  backhand: { keys: ["Ctrl+b"], help: "A backhand; on to the next", group: ENTER, scope: "review" },
  strokeOn: { keys: ["."], help: "Next stroke of the turn", group: ENTER, scope: "review", held: true },
  strokeBack: { keys: [","], help: "Stroke before", group: ENTER, scope: "review", held: true },

  burstOn: {
    keys: ["}"],
    help: "Next burst of play that is no turn yet; Enter makes it one",
    group: BURST,
    scope: "review",
    held: true,
  },
  burstBack: { keys: ["{"], help: "Burst of play before", group: BURST, scope: "review", held: true },
  burstJoin: { keys: ["&"], help: "Join this burst with the next", group: BURST, scope: "review" },
  burstSplit: { keys: ["|"], help: "Split the burst at this frame", group: BURST, scope: "review" },
  burstList: { keys: ["#"], help: "All turns of this clip in one list, and the order of the players", group: BURST, scope: "review" },

  takeOver: { keys: ["Ctrl+Enter"], help: "Take over all strokes heard in this turn", group: HEARD, scope: "review" },
  takeOverUnsided: { keys: ["Alt+Enter"], help: "The same, without the sides that only the joints say", group: HEARD, scope: "review" },
  lookToo: { keys: ["Alt+l"], help: "Look at the pictures as well, to propose strokes; stop it", group: HEARD, scope: "review" },
  refuse: { keys: ["Ctrl+Delete"], help: "Refuse all of them", group: HEARD, scope: "review" },
  hearAgain: { keys: ["F4"], help: "Listen to this turn again: propose anew", group: HEARD, scope: "review" },
  anchor: { keys: ["!"], help: "This turn's player strikes at this frame, not the partner", group: HEARD, scope: "review" },
  more: { keys: [">"], help: "Propose more: weaker sounds too", group: HEARD, scope: "review" },
  fewer: { keys: ["<"], help: "Propose fewer: only the surer ones", group: HEARD, scope: "review" },
  listen: { keys: ["F3"], help: "Stop listening to the clip, or go on", group: HEARD, scope: "review" },

  readyHere: { keys: [";"], help: "The player is back in the ready position here", group: READY, scope: "review" },
  answerHere: { keys: [":"], help: "The partner strikes here, where it is not heard", group: READY, scope: "review" },
  yes: { keys: ["+"], help: "Yes to what is asked under the picture", group: READY, scope: "review" },
  no: { keys: ["Backspace"], help: "No to it", group: READY, scope: "review" },
  ruler: { keys: ["Ctrl+m"], help: "The table as a ruler: lay it, measure by it, put it away", group: MEASURE, scope: "review" },

  beside: { keys: ["Alt+b"], help: "Another picture beside this one; the pairs that are kept", group: PICTURE, scope: "review" },
  fold: { keys: ["F10"], help: "Put the lists away for the picture, or bring them back", group: LIST, scope: "review" },
  entryBefore: { keys: ["ArrowUp"], help: "Entry before", group: LIST, scope: "review", held: true },
  entryNext: { keys: ["ArrowDown"], help: "Next entry", group: LIST, scope: "review", held: true },
  note: { keys: ["F2"], help: "Note on the selected mark", group: LIST, scope: "review" },
  remove: { keys: ["Delete"], help: "Remove the selected entry", group: LIST, scope: "review" },
  modelIs: {
    keys: ["Alt+i"],
    help: "This picture shows what the fault of the selected mark is, or the one marked last; again takes that back",
    group: LIST,
    scope: "review",
  },
  modelIsNot: { keys: ["Alt+n"], help: "It shows what that fault is not; again takes that back", group: LIST, scope: "review" },
  meaning: {
    keys: ["Alt+d"],
    help: "What that fault means, below the picture; of another one while the pointer or the focus is on its key",
    group: LIST,
    scope: "review",
  },
  hangBefore: { keys: ["Alt+ArrowLeft"], help: "Hang the selected mark on the stroke before", group: LIST, scope: "review" },
  hangNext: { keys: ["Alt+ArrowRight"], help: "Hang the selected mark on the next stroke", group: LIST, scope: "review" },
  giveUp: { keys: ["Escape"], help: "Give up the turn that was started, or the drawing; the list goes", group: ENTER, scope: "review" },

  larger: { keys: ["Ctrl++", "Ctrl+="], help: "Larger; the wheel too, at the pointer", group: PICTURE, scope: "picture", held: true },
  smaller: { keys: ["Ctrl+-"], help: "Smaller", group: PICTURE, scope: "picture", held: true },
  wholePicture: { keys: ["Ctrl+0"], help: "The whole picture", group: PICTURE, scope: "picture" },
  lookLeft: {
    keys: ["Ctrl+Shift+ArrowLeft"],
    help: "Look further left in a larger picture",
    group: PICTURE,
    scope: "picture",
    held: true,
  },
  lookRight: { keys: ["Ctrl+Shift+ArrowRight"], help: "Further right", group: PICTURE, scope: "picture", held: true },
  lookUp: { keys: ["Ctrl+Shift+ArrowUp"], help: "Further up", group: PICTURE, scope: "picture", held: true },
  lookDown: { keys: ["Ctrl+Shift+ArrowDown"], help: "Further down", group: PICTURE, scope: "picture", held: true },

  rotateRight: { keys: ["Ctrl+."], help: "Rotate to the right", group: PICTURE, scope: "review" },
  rotateLeft: { keys: ["Ctrl+,"], help: "Rotate to the left", group: PICTURE, scope: "review" },
  mirror: { keys: ["Ctrl+j"], help: "Mirror left to right", group: PICTURE, scope: "review" },
  shownAs: { keys: ["Ctrl+e"], help: "How the clip is shown: rotated, mirrored, brighter", group: PICTURE, scope: "review" },

  draw: { keys: ["Ctrl+d"], help: "Draw on the picture, for the selected mark or on its own", group: PICTURE, scope: "review" },
  drawLine: { keys: ["1"], help: "A line", group: DRAW, scope: "drawing" },
  drawArrow: { keys: ["2"], help: "An arrow", group: DRAW, scope: "drawing" },
  drawCircle: { keys: ["3"], help: "A circle", group: DRAW, scope: "drawing" },
  drawAngle: { keys: ["4"], help: "An angle with its degrees in the picture", group: DRAW, scope: "drawing" },
  drawFree: { keys: ["5"], help: "A line by hand", group: DRAW, scope: "drawing" },
  drawText: { keys: ["6"], help: "A text", group: DRAW, scope: "drawing" },
  drawPut: {
    keys: ["Enter"],
    help: "Put one in the middle of what is seen; arrows move its place, Tab goes to the next. Again: one more place of a line by hand",
    group: DRAW,
    scope: "drawing",
  },
  drawNext: { keys: ["."], help: "Next drawing of the clip", group: DRAW, scope: "drawing" },
  drawBefore: { keys: [","], help: "Drawing before", group: DRAW, scope: "drawing" },
  drawFrom: { keys: ["["], help: "The selected drawing is shown from this frame on", group: DRAW, scope: "drawing" },
  drawTo: { keys: ["]"], help: "It is shown up to this frame", group: DRAW, scope: "drawing" },
  drawWords: { keys: ["F2"], help: "The words of the selected text", group: DRAW, scope: "drawing" },
  drawWipe: { keys: ["Delete"], help: "Wipe the selected drawing off", group: DRAW, scope: "drawing" },
  drawDone: {
    keys: ["Escape"],
    help: "Give up what is being drawn, let go of the selected one, stop drawing",
    group: DRAW,
    scope: "drawing",
  },

  rulerAway: { keys: ["Escape"], help: "Put the ruler away", group: RULER, scope: "ruler" },
  rulerClick: {
    keys: ["Enter"],
    help: "A click in the middle of the picture; Tab chooses it, arrows move it. After the corners: no other net post is in sight",
    group: RULER,
    scope: "ruler",
  },
  rulerBack: { keys: ["Backspace"], help: "Take the last click back", group: RULER, scope: "ruler" },

  besideBack: { keys: ["ArrowLeft"], help: "One frame back, both where they are locked", group: BESIDE, scope: "beside", held: true },
  besideOn: { keys: ["ArrowRight"], help: "One frame forward", group: BESIDE, scope: "beside", held: true },
  besideTenBack: { keys: ["Shift+ArrowLeft"], help: "Ten frames back", group: BESIDE, scope: "beside", held: true },
  besideTenOn: { keys: ["Shift+ArrowRight"], help: "Ten frames forward", group: BESIDE, scope: "beside", held: true },
  besideSecondBack: { keys: ["PageUp"], help: "One second back", group: BESIDE, scope: "beside", held: true },
  besideSecondOn: { keys: ["PageDown"], help: "One second forward", group: BESIDE, scope: "beside", held: true },
  besideStrokeOn: { keys: ["."], help: "Next stroke that is logged", group: BESIDE, scope: "beside", held: true },
  besideStrokeBack: { keys: [","], help: "Stroke before", group: BESIDE, scope: "beside", held: true },
  besideTurn: { keys: ["ArrowUp", "ArrowDown"], help: "The keys act on the other picture", group: BESIDE, scope: "beside" },
  besideLock: { keys: ["Enter"], help: "These two frames are the same moment: lock them, or let each go", group: BESIDE, scope: "beside" },
  besidePlay: { keys: ["Space"], help: "Play and pause", group: BESIDE, scope: "beside" },
  besideSlower: { keys: ["Ctrl+ArrowDown"], help: "Slower", group: BESIDE, scope: "beside" },
  besideFaster: { keys: ["Ctrl+ArrowUp"], help: "Faster", group: BESIDE, scope: "beside" },
  besideOver: { keys: ["Ctrl+o"], help: "One over the other, or side by side", group: BESIDE, scope: "beside" },
  besideMirror: { keys: ["Ctrl+j"], help: "Mirror this picture, in the pair alone", group: BESIDE, scope: "beside" },
  besideDraw: { keys: ["Ctrl+d"], help: "Draw on this picture", group: BESIDE, scope: "beside" },
  besideChoose: { keys: ["F2"], help: "Another picture here: clip, camera or model", group: BESIDE, scope: "beside" },
  besideKeep: { keys: ["Ctrl+s"], help: "Keep the pair by a name", group: BESIDE, scope: "beside" },
  besideList: { keys: ["F3"], help: "The pairs that are kept", group: BESIDE, scope: "beside" },
  besideHandOver: { keys: ["Ctrl+p"], help: "Print both, or make a film of them", group: BESIDE, scope: "beside" },
  besideEnd: { keys: ["Escape"], help: "Back to the one picture", group: BESIDE, scope: "beside" },

  passOn: { keys: ["Enter"], help: "Nothing more here: the next stroke", group: PASS, scope: "pass" },
  passNext: { keys: ["ArrowRight"], help: "The next stroke; one frame on while held", group: PASS, scope: "pass", held: true },
  passBefore: { keys: ["ArrowLeft"], help: "The stroke before; one frame back while held", group: PASS, scope: "pass", held: true },
  passAgain: { keys: ["ArrowUp"], help: "Show the stroke again", group: PASS, scope: "pass" },
  passContact: { keys: ["ArrowDown"], help: "Hold the picture at the contact", group: PASS, scope: "pass" },
  passHold: { keys: ["Space"], help: "Hold the picture, and play on", group: PASS, scope: "pass" },
  passMissed: { keys: ["-"], help: "The stroke is missed, or good again", group: PASS, scope: "pass" },
  passForehand: { keys: ["Ctrl+f"], help: "The stroke is a forehand", group: PASS, scope: "pass" },
  passBackhand: { keys: ["Ctrl+b"], help: "The stroke is a backhand", group: PASS, scope: "pass" },
  passSlower: { keys: ["Ctrl+ArrowDown"], help: "Slower", group: PASS, scope: "pass" },
  passFaster: { keys: ["Ctrl+ArrowUp"], help: "Faster", group: PASS, scope: "pass" },
  passModelIs: {
    keys: ["Alt+i"],
    help: "This picture shows what the fault marked here is; again takes that back",
    group: PASS,
    scope: "pass",
  },
  passModelIsNot: { keys: ["Alt+n"], help: "It shows what that fault is not", group: PASS, scope: "pass" },
  passMeaning: { keys: ["Alt+d"], help: "What it means, below the picture: show it, or put it away", group: PASS, scope: "pass" },
  passLeaveOut: { keys: ["Delete"], help: "Leave this turn out", group: PASS, scope: "pass" },
  passSettings: { keys: ["F2"], help: "What is looked for, and how the pass goes", group: PASS, scope: "pass" },
  passEnd: { keys: ["Escape"], help: "End the pass", group: PASS, scope: "pass" },
} as const satisfies Record<string, Action>;

export type ActionId = keyof typeof table;

export const ACTIONS: Readonly<Record<ActionId, Action>> = table;

export const ACTION_IDS = Object.keys(table) as readonly ActionId[];
