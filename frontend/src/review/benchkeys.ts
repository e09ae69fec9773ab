import type { Fault } from "../api/domain";
import type { Bench } from "./bench.svelte";
import type { Binding } from "../shared/keys";
import { modelHere } from "./models";
import { playKeys } from "./playkeys";
import { repeatFault, toClip, toUnlooked } from "./roam";

/** The keys of the bench itself: no letter and no digit, these are the team's. */
export function benchKeys(b: Bench): readonly Binding[] {
  const k = b.app.keymap;
  return [
    k.bind("frameBack", (r) => b.viewer?.step(-1, r)),
    k.bind("frameOn", (r) => b.viewer?.step(1, r)),
    k.bind("tenBack", (r) => b.viewer?.step(-10, r)),
    k.bind("tenOn", (r) => b.viewer?.step(10, r)),
    k.bind("secondBack", (r) => b.viewer?.skip(-1, r)),
    k.bind("secondOn", (r) => b.viewer?.skip(1, r)),
    k.bind("firstFrame", () => b.viewer?.goTo(0)),
    k.bind("lastFrame", () => b.viewer?.goTo(b.viewer.frames - 1)),
    k.bind("goTo", () => b.ask()),
    k.bind("clipNext", () => void toClip(b, 1)),
    k.bind("clipBefore", () => void toClip(b, -1)),
    k.bind("cameraNext", () => b.cameras.next()),
    k.bind("play", () => b.viewer?.toggle()),
    ...playKeys(b, (say, wrong) => b.notify(say, wrong)),
    k.bind("passHere", () => void b.pass.startHere()),
    k.bind("lookedThrough", () => void b.looking.toggle()),
    k.bind("nextUnlooked", () => void toUnlooked(b)),
    k.bind("repeatFault", () => void repeatFault(b)),
    k.bind("turnStart", () => b.turnStart()),
    k.bind("turnEnd", () => b.turnEnd()),
    k.bind("good", () => void b.bursts.enter()),
    k.bind("missed", () => void b.strokes.log("missed")),
    k.bind("otherSide", () => void b.strokes.flip()),
    k.bind("forehand", () => void b.strokes.side("forehand")),
    k.bind("backhand", () => void b.strokes.side("backhand")),
    k.bind("strokeOn", () => b.strokes.walk(1)),
    k.bind("strokeBack", () => b.strokes.walk(-1)),
    k.bind("burstOn", () => b.bursts.walk(1)),
    k.bind("burstBack", () => b.bursts.walk(-1)),
    k.bind("burstJoin", () => void b.bursts.join()),
    k.bind("burstSplit", () => void b.bursts.split()),
    k.bind("burstList", () => b.bursts.list()),
    k.bind("takeOver", () => void b.strokes.takeOver()),
    k.bind("takeOverUnsided", () => void b.strokes.takeOver(false)),
    k.bind("lookToo", () => void b.measuring.toggle()),
    k.bind("refuse", () => void b.strokes.refuse()),
    k.bind("hearAgain", () => void b.strokes.again()),
    k.bind("anchor", () => void b.strokes.anchor()),
    k.bind("more", () => b.strokes.step(1)),
    k.bind("fewer", () => b.strokes.step(-1)),
    k.bind("listen", () => b.detection.toggle()),
    k.bind("readyHere", () => void b.strokes.ready()),
    k.bind("answerHere", () => void b.strokes.answer()),
    k.bind("yes", () => b.answerQuestion(true)),
    k.bind("no", () => b.answerQuestion(false)),
    k.bind("ruler", () => b.ruler.toggle()),
    k.bind("beside", () => beside(b)),
    k.bind("draw", () => b.drawings.toggle()),
    k.bind("fold", () => b.layout.toggle()),
    k.bind("entryBefore", () => walk(b, -1)),
    k.bind("entryNext", () => walk(b, 1)),
    k.bind("note", () => b.note()),
    k.bind("remove", () => void b.remove()),
    k.bind("modelIs", () => void modelHere(b, "is")),
    k.bind("modelIsNot", () => void modelHere(b, "is not")),
    k.bind("meaning", () => b.meaning.toggle()),
    k.bind("hangBefore", () => void b.hang(-1)),
    k.bind("hangNext", () => void b.hang(1)),
    k.bind("giveUp", () => giveUp(b)),
  ];
}

/** The picture here beside itself, to begin with. */
export function beside(b: Bench): void {
  b.viewer?.pause();
  void b.beside.start(b.clip && b.viewer ? { clip: b.clip.id, frame: b.viewer.target } : null);
}

/** Walks through the entries, for which the list comes back. */
function walk(b: Bench, by: 1 | -1): void {
  b.layout.walk();
  b.walk(by);
}

function giveUp(b: Bench): void {
  b.layout.putAway();
  b.pictures.adjusting = false;
  b.giveUp();
}

/** One key a fault, as the team has set them. */
export function faultKeys(faults: readonly Fault[], mark: (f: Fault) => void): readonly Binding[] {
  return faults
    .filter((f) => f.key !== "")
    .map((f) => ({ press: [f.key], help: `${f.code}: ${f.label}`, group: "Faults of this team", run: () => mark(f) }));
}
