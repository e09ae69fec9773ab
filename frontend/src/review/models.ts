// Pictures that show what a fault is, or is not, taken while marking.
import { definitions } from "../api/api";
import type { Fault, Id, ShownAs } from "../api/domain";
import type { Bench } from "./bench.svelte";
import { lastFault } from "./roam";

type Shows = Exclude<ShownAs, "nothing">;

/** Takes the picture on show as a model of the selected mark's fault, or of the one marked last. */
export async function modelHere(b: Bench, as: Shows): Promise<void> {
  const e = b.selected;
  const fault = e?.kind === "mark" ? b.app.faultOf.get(e.row.fault_id) : lastFault(b);
  if (!b.viewer) return;
  b.viewer.pause();
  await take(b, fault, b.viewer.current, as);
}

/** The same in a pass: of the fault that was marked on the stroke, or the only one looked for; at its mark unless the picture is held. */
export async function modelInPass(b: Bench, as: Shows): Promise<void> {
  const { pass, ledger, app, viewer } = b;
  const { stroke } = pass;
  if (!stroke || !viewer || b.clip?.id !== pass.turn?.clip_id) return;
  const mark = ledger.marks
    .filter((m) => m.coach_id === app.state.coach_id && ledger.hangs_on[m.id] === stroke.id)
    .toSorted((m, n) => m.made.localeCompare(n.made))
    .at(-1);
  const only = pass.faults.length === 1 ? pass.faults[0] : lastFault(b);
  const fault = mark ? app.faultOf.get(mark.fault_id) : only;
  await take(b, fault, pass.held ? viewer.current : (mark?.frame ?? stroke.frame), as);
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
