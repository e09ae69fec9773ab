// Pictures that show what a fault is, or is not, taken while marking.
import { definitions } from "../api/api";
import type { Fault, Id, Mark, ShownAs } from "../api/domain";
import type { Bench } from "./bench.svelte";
import { lastFault } from "./roam";

type Shows = Exclude<ShownAs, "nothing">;

/** The fault that is spoken of: of the selected mark or the one marked last; in a pass of the mark on the stroke, the only one looked for, or the one marked last. */
export function faultHere(b: Bench): Fault | undefined {
  const { pass, selected, app } = b;
  const mark = pass.active ? markInPass(b) : selected?.kind === "mark" ? selected.row : undefined;
  if (mark) return app.faultOf.get(mark.fault_id);
  return pass.active && pass.faults.length === 1 ? pass.faults[0] : lastFault(b);
}

/** The mark that this coach has made last on the stroke of the pass. */
function markInPass(b: Bench): Mark | undefined {
  const { stroke } = b.pass;
  if (!stroke) return undefined;
  return b.ledger.marks
    .filter((m) => m.coach_id === b.app.state.coach_id && b.ledger.hangs_on[m.id] === stroke.id)
    .toSorted((m, n) => m.made.localeCompare(n.made))
    .at(-1);
}

/** Takes the picture on show as a model of the fault that is spoken of. */
export async function modelHere(b: Bench, as: Shows): Promise<void> {
  if (!b.viewer) return;
  b.viewer.pause();
  await take(b, faultHere(b), b.viewer.current, as);
}

/** The same in a pass, at the mark unless the picture is held. */
export async function modelInPass(b: Bench, as: Shows): Promise<void> {
  const { pass, viewer } = b;
  const { stroke } = pass;
  if (!stroke || !viewer || b.clip?.id !== pass.turn?.clip_id) return;
  await take(b, faultHere(b), pass.held ? viewer.current : (markInPass(b)?.frame ?? stroke.frame), as);
}

async function take(b: Bench, fault: Fault | undefined, frame: number, as: Shows): Promise<void> {
  if (!fault) {
    b.notify("Select a mark first, or mark a fault: a model picture shows what a fault is, or is not.", true);
    return;
  }
  if (!b.coachKnown()) return;
  const seen = (clip: Id) => b.cameras.place(clip, frame);
  await b.write(
    (clip) => definitions.flip({ clip_id: seen(clip).clip, frame: seen(clip).frame, fault_id: fault.id, as }),
    (now) =>
      now === "nothing"
        ? `The picture at ${b.at(frame)} is no model of ${fault.code} any more.`
        : `Saved: the picture at ${b.at(frame)} shows what ${fault.code} ${now}. See Agreement, Definitions.`,
  );
}
