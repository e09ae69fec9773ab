// Who plays what in the bursts of one clip, as the list proposes it before any of
// them is a turn.
import type { Id } from "../api/domain";
import type { Burst, NewTurn } from "../api/domain";

/** One burst in the list. */
export interface BurstRow {
  burst: Burst;
  /** It is to be a turn. */
  taken: boolean;
  /** What a coach has chosen; "" leaves it to the order, or to the row before. */
  player: Id;
  drill: Id;
}

/** Who plays after a player: the next of the order, its first where the player is not in it. */
export function nextPlayer(order: readonly Id[], last: Id): Id {
  if (order.length === 0) return last;
  return order[(order.indexOf(last) + 1) % order.length] ?? last;
}

/**
 * The turn that each row would be. A row that is left out takes no place in the
 * order, and a turn that lies between two rows begins it anew.
 */
export function assigned(rows: readonly BurstRow[], order: readonly Id[]): NewTurn[] {
  let before: NewTurn | undefined;
  return rows.map(({ burst, taken, player, drill }) => {
    const follows = before !== undefined && before.first > burst.after;
    const t: NewTurn = {
      first: burst.first,
      last: burst.last,
      player_id: player || (follows && before ? nextPlayer(order, before.player_id) : burst.player_id),
      drill_id: drill || (follows && before ? before.drill_id : burst.drill_id),
    };
    if (taken) before = t;
    return t;
  });
}

/** Rows for bursts, with what was chosen in those that were there before. */
export function rowsOf(bursts: readonly Burst[], old: readonly BurstRow[]): BurstRow[] {
  return bursts.map((burst) => {
    const same = old.find((r) => r.burst.first === burst.first) ?? old.find((r) => r.burst.last === burst.last);
    return { burst, taken: same?.taken ?? true, player: same?.player ?? "", drill: same?.drill ?? "" };
  });
}
