package store

import (
	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

func adjustments() table[picture.Adjustment] {
	return table[picture.Adjustment]{
		name: "adjustment", columns: "id, clip_id, rotation, mirror, brightness, contrast, gamma",
		fields: func(r *picture.Adjustment) []any {
			return []any{&r.ID, &r.ClipID, &r.Rotation, &r.Mirror, &r.Brightness, &r.Contrast, &r.Gamma}
		},
		refs:  []reference{{"clip_id", "clip"}},
		valid: picture.Adjustment.Check,
		tell:  func(r picture.Adjustment, c *Change) { c.touched(r.ClipID, -1) },
	}
}

func pairs() table[picture.Pair] {
	return table[picture.Pair]{
		name:    "pair",
		columns: "id, coach_id, name, clip_id, frame, ticks, seen, other_id, other_frame, other_ticks, other_seen, over, divided",
		fields: func(r *picture.Pair) []any {
			return []any{&r.ID, optional{&r.CoachID}, &r.Name, &r.ClipID, &r.Frame, &r.Ticks, inJSON[picture.View]{&r.Seen},
				&r.OtherID, &r.OtherFrame, &r.OtherTicks, inJSON[picture.View]{&r.OtherSeen}, &r.Over, &r.Divided}
		},
		refs:  []reference{{"clip_id", "clip"}, {"other_id", "clip"}, {"coach_id", "coach"}},
		valid: picture.Pair.Check,
		tell: func(r picture.Pair, c *Change) {
			c.touched(r.ClipID, -1)
			c.touched(r.OtherID, -1)
		},
	}
}

// forgetPairs deletes the pairs of which one picture shows a turn of the player or is of a
// clip that goes; of removed ones, those on clips of the player.
func (w *writing) forgetPairs(f Forgetting) error {
	return w.all([]statement{{`DELETE FROM pair WHERE EXISTS (SELECT 1 FROM turn t WHERE t.player_id = ?1 AND (
			t.clip_id = pair.clip_id AND (pair.gone = 1 OR pair.frame BETWEEN t.first AND t.last) OR
			t.clip_id = pair.other_id AND (pair.gone = 1 OR pair.other_frame BETWEEN t.first AND t.last)))
		OR clip_id IN (SELECT value FROM json_each(?2)) OR other_id IN (SELECT value FROM json_each(?2))`,
		[]any{f.Player, idList(append([]club.ID{""}, f.Clips...))}}})
}
