// Going from clip to clip, and from turn to turn, without leaving the bench.
import { sessions } from "../api/api";
import type { Fault, Id, ToDoRow } from "../api/domain";
import type { Bench } from "./bench.svelte";

async function go(b: Bench, clip: Id, frame: number): Promise<void> {
  b.viewer?.pause();
  b.app.place = { clip, frame };
  await b.open(b.app.place);
}

/** The clip after (1) or before (-1) the one on the bench, over the ends of its day. */
export async function toClip(b: Bench, by: 1 | -1): Promise<void> {
  const here = b.clip?.id;
  if (!here) return;
  await b.app.attempt(async () => {
    const next = await sessions.beside(here, by);
    if (next !== "") await go(b, next, -1);
    else b.notify(by > 0 ? "This is the last clip." : "This is the first clip.");
  });
}

/** The next turn that is not looked through for every fault: after this frame, else in the clips after this one, else from the start. */
export async function toUnlooked(b: Bench): Promise<void> {
  const here = b.clip?.id ?? "";
  const frame = b.turn?.first ?? b.frame;
  await b.app.attempt(async () => {
    const { rows } = await sessions.toDo({ player_id: "", fault_id: "", coach_id: "", from: "", to: "", most: 0 });
    const left = (r: ToDoRow) => r.turn_id !== "" && (r.unlooked || r.missing.length > 0) && r.turn_id !== b.turn?.id;
    const after = rows.findLastIndex((r) => r.clip_id === here) + 1;
    const next = rows.find((r) => left(r) && r.clip_id === here && r.first > frame) ?? rows.slice(after).find(left) ?? rows.find(left);
    if (!next) {
      b.notify("Every other turn is looked through for every fault.");
      return;
    }
    await go(b, next.clip_id, next.first);
    const name = b.app.playerOf.get(next.player_id)?.name ?? "?";
    b.notify(`${name}, ${next.unlooked ? "not looked at yet" : `not looked through for ${next.missing.join(", ")}`}.`);
  });
}

/** The fault that this coach marked last on this clip; undefined where there is none. */
export function lastFault(b: Bench): Fault | undefined {
  const mine = b.ledger.marks.filter((m) => m.coach_id === b.app.state.coach_id).toSorted((m, n) => m.made.localeCompare(n.made));
  return b.app.faultOf.get(mine.at(-1)?.fault_id ?? "");
}

/** Marks that fault once more, at this frame. */
export async function repeatFault(b: Bench): Promise<void> {
  const fault = lastFault(b);
  if (fault) await b.mark(fault);
  else b.notify("You have marked no fault on this clip yet: press the key of one.", true);
}
