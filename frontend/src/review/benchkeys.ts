import type { Fault } from "../api/domain";
import type { Bench } from "./bench.svelte";
import type { Binding } from "../shared/keys";
import { playKeys } from "./playkeys";

const MOVE = "Moving in the clip";
const ENTER = "Turns and strokes";
const PLAY = "Turns from the sound";
const HEARD = "Strokes from the sound";
const READY = "Readiness, and what is asked";
const LIST = "The list";
const LOOK = "Looking through";
const MEASURE = "Measuring";

/** The keys of the bench itself: no letter and no digit, these are the team's. */
export function benchKeys(b: Bench): readonly Binding[] {
  return [
    { press: ["ArrowLeft"], help: "One frame back", group: MOVE, held: true, run: (r) => b.viewer?.step(-1, r) },
    { press: ["ArrowRight"], help: "One frame forward", group: MOVE, held: true, run: (r) => b.viewer?.step(1, r) },
    { press: ["Shift+ArrowLeft"], help: "Ten frames back", group: MOVE, held: true, run: (r) => b.viewer?.step(-10, r) },
    { press: ["Shift+ArrowRight"], help: "Ten frames forward", group: MOVE, held: true, run: (r) => b.viewer?.step(10, r) },
    { press: ["PageUp"], help: "One second back", group: MOVE, held: true, run: (r) => b.viewer?.skip(-1, r) },
    { press: ["PageDown"], help: "One second forward", group: MOVE, held: true, run: (r) => b.viewer?.skip(1, r) },
    { press: ["Home"], help: "First frame", group: MOVE, run: () => b.viewer?.goTo(0) },
    { press: ["End"], help: "Last frame", group: MOVE, run: () => b.viewer?.goTo(b.viewer.frames - 1) },
    { press: ["Ctrl+g"], help: "Go to a frame by its number", group: MOVE, run: () => b.ask() },
    { press: ["Space"], help: "Play and pause", group: MOVE, run: () => b.viewer?.toggle() },
    ...playKeys(b, (say, wrong) => b.notify(say, wrong)),
    {
      press: ["Shift+Enter"],
      help: "A pass over the strokes of this turn and those after it",
      group: LOOK,
      run: () => void b.pass.startHere(),
    },
    {
      press: ["="],
      help: "You have looked through this turn for every fault; again takes it back",
      group: LOOK,
      run: () => void b.looking.toggle(),
    },
    { press: ["["], help: "A turn starts at this frame", group: ENTER, run: () => b.turnStart() },
    { press: ["]"], help: "The turn ends at this frame", group: ENTER, run: () => b.turnEnd() },
    {
      press: ["Enter"],
      help: "Good stroke here; makes the one here good. In play that no turn covers: makes it a turn",
      group: ENTER,
      run: () => void b.bursts.enter(),
    },
    { press: ["-"], help: "Missed stroke here; makes the one here missed", group: ENTER, run: () => void b.strokes.log("missed") },
    { press: ["/"], help: "Other side for the stroke at or before this frame", group: ENTER, run: () => void b.strokes.flip() },
    {
      press: ["Ctrl+f"],
      help: "A forehand, the stroke at or before this frame; on to the next",
      group: ENTER,
      run: () => void b.strokes.side("forehand"),
    },
    { press: ["Ctrl+b"], help: "A backhand; on to the next", group: ENTER, run: () => void b.strokes.side("backhand") },
    { press: ["."], help: "Next stroke of the turn", group: ENTER, held: true, run: () => b.strokes.walk(1) },
    { press: [","], help: "Stroke before", group: ENTER, held: true, run: () => b.strokes.walk(-1) },
    {
      press: ["}"],
      help: "Next burst of play that is no turn yet; Enter makes it one",
      group: PLAY,
      held: true,
      run: () => b.bursts.walk(1),
    },
    { press: ["{"], help: "Burst of play before", group: PLAY, held: true, run: () => b.bursts.walk(-1) },
    { press: ["&"], help: "Join this burst with the next", group: PLAY, run: () => void b.bursts.join() },
    { press: ["|"], help: "Split the burst at this frame", group: PLAY, run: () => void b.bursts.split() },
    { press: ["#"], help: "All turns of this clip in one list, and the order of the players", group: PLAY, run: () => b.bursts.list() },
    { press: ["Ctrl+Enter"], help: "Take over all strokes heard in this turn", group: HEARD, run: () => void b.strokes.takeOver() },
    { press: ["Ctrl+Delete"], help: "Refuse all of them", group: HEARD, run: () => void b.strokes.refuse() },
    { press: ["F4"], help: "Listen to this turn again: propose anew", group: HEARD, run: () => void b.strokes.again() },
    { press: ["!"], help: "This turn's player strikes at this frame, not the partner", group: HEARD, run: () => void b.strokes.anchor() },
    { press: [">"], help: "Propose more: weaker sounds too", group: HEARD, run: () => b.strokes.step(1) },
    { press: ["<"], help: "Propose fewer: only the surer ones", group: HEARD, run: () => b.strokes.step(-1) },
    { press: ["F3"], help: "Stop listening to the clip, or go on", group: HEARD, run: () => b.detection.toggle() },
    { press: [";"], help: "The player is back in the ready position here", group: READY, run: () => void b.strokes.ready() },
    { press: [":"], help: "The partner strikes here, where it is not heard", group: READY, run: () => void b.strokes.answer() },
    { press: ["+"], help: "Yes to what is asked under the picture", group: READY, run: () => b.answerQuestion(true) },
    { press: ["Backspace"], help: "No to it", group: READY, run: () => b.answerQuestion(false) },
    { press: ["Ctrl+m"], help: "The table as a ruler: lay it, measure by it, put it away", group: MEASURE, run: () => b.ruler.toggle() },
    { press: ["F10"], help: "Put the lists away for the picture, or bring them back", group: LIST, run: () => b.layout.toggle() },
    { press: ["ArrowUp"], help: "Entry before", group: LIST, held: true, run: () => walk(b, -1) },
    { press: ["ArrowDown"], help: "Next entry", group: LIST, held: true, run: () => walk(b, 1) },
    { press: ["F2"], help: "Note on the selected mark", group: LIST, run: () => b.note() },
    { press: ["Delete"], help: "Remove the selected entry", group: LIST, run: () => void b.remove() },
    { press: ["Alt+ArrowLeft"], help: "Hang the selected mark on the stroke before", group: LIST, run: () => void b.hang(-1) },
    { press: ["Alt+ArrowRight"], help: "Hang the selected mark on the next stroke", group: LIST, run: () => void b.hang(1) },
    { press: ["Escape"], help: "Give up the turn that was started, or the drawing; the list goes", group: ENTER, run: () => giveUp(b) },
  ];
}

/** Walks through the entries, for which the list comes back. */
function walk(b: Bench, by: 1 | -1): void {
  b.layout.walk();
  b.walk(by);
}

function giveUp(b: Bench): void {
  b.layout.putAway();
  b.giveUp();
}

/** One key a fault, as the team has set them. */
export function faultKeys(faults: readonly Fault[], mark: (f: Fault) => void): readonly Binding[] {
  return faults
    .filter((f) => f.key !== "")
    .map((f) => ({ press: [f.key], help: `${f.code}: ${f.label}`, group: "Faults of this team", run: () => mark(f) }));
}
