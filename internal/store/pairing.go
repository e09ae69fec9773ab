package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
)

func pairings() table[alignment.Pairing] {
	return table[alignment.Pairing]{
		name: "pairing", columns: "id, clip_id, on_id, coach_id, start_at, drift, start_half, drift_half, matched",
		fields: func(r *alignment.Pairing) []any {
			return []any{&r.ID, &r.ClipID, &r.OnID, optional{&r.CoachID}, &r.Offset, &r.Drift, &r.OffsetHalf, &r.DriftHalf, &r.Matched}
		},
		refs:  []reference{{"clip_id", "clip"}, {"on_id", "clip"}, {"coach_id", "coach"}},
		valid: alignment.Pairing.Check,
		tell: func(r alignment.Pairing, c *Change) {
			c.Sessions = true
			c.touched(r.ClipID, -1)
			c.touched(r.OnID, -1)
		},
	}
}

// linedUp are the pairings of all clips that are lined up with each other, one of them
// with the ID.
func linedUp(ctx context.Context, tx *sql.Tx, clip club.ID) ([]alignment.Pairing, error) {
	return pairings().all(ctx, tx, "WHERE gone = 0 AND (id = ?1 OR on_id = ?1 OR on_id = (SELECT on_id FROM pairing WHERE id = ?1 AND gone = 0)) ORDER BY id", clip)
}

// pairedOnce keeps pairings inside one session, and the clip that others are lined up with
// from being lined up itself: one clip has the turns of all.
func (w *writing) pairedOnce(ids string) error {
	if ids == "" {
		return nil
	}
	var id string
	found, err := w.some(`SELECT p.id FROM json_each(?) j JOIN pairing p ON p.id = j.value JOIN clip c ON c.id = p.clip_id JOIN clip o ON o.id = p.on_id
		WHERE c.session_id <> o.session_id LIMIT 1`, []any{ids}, []any{&id})
	if found {
		return &club.Problem{Field: "on_id", Say: "These clips are of two sessions: only clips of one session are lined up."}
	}
	if err != nil {
		return err
	}
	found, err = w.some(`SELECT p.id FROM json_each(?) j JOIN pairing p ON p.id = j.value JOIN pairing o ON o.gone = 0 AND (o.id = p.on_id OR o.on_id = p.id) LIMIT 1`,
		[]any{ids}, []any{&id})
	if found {
		return &club.Problem{Field: "on_id", Say: "One of these clips is lined up with a third already: line them up with that one, or take them apart first."}
	}
	return err
}
