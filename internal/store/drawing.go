package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

func drawings() table[picture.Drawing] {
	return table[picture.Drawing]{
		name: "drawing", columns: "id, clip_id, coach_id, mark_id, frame, ticks, first, last, first_ticks, last_ticks, kind, places, text",
		fields: func(r *picture.Drawing) []any {
			return []any{&r.ID, &r.ClipID, optional{&r.CoachID}, &r.MarkID, &r.Frame, &r.Ticks, &r.First, &r.Last, &r.FirstTicks, &r.LastTicks,
				&r.Kind, inJSON[[]picture.Point]{&r.Places}, &r.Text}
		},
		refs:  []reference{{"clip_id", "clip"}, {"coach_id", "coach"}},
		valid: picture.Drawing.Check,
		tell:  func(r picture.Drawing, c *Change) { c.touched(r.ClipID, r.Frame) },
	}
}

// DrawingsOf returns what is drawn on some clips, by clip and in order of frame.
func (l *Library) DrawingsOf(ctx context.Context, clips []club.ID) (map[club.ID][]picture.Drawing, error) {
	by := map[club.ID][]picture.Drawing{}
	all, err := list(ctx, l, drawings(), "WHERE gone = 0 AND clip_id IN (SELECT value FROM json_each(?)) ORDER BY clip_id, frame, id", idList(append(clips, "")))
	for _, d := range all {
		by[d.ClipID] = append(by[d.ClipID], d)
	}
	return by, err
}

// drawnOn are the drawings whose own frame lies in some turns, in order of clip and frame.
func drawnOn(ctx context.Context, tx *sql.Tx, turns []club.Turn) ([]picture.Drawing, error) {
	ids := make([]club.ID, len(turns))
	for i, t := range turns {
		ids[i] = t.ID
	}
	return drawings().all(ctx, tx, `WHERE id IN (SELECT d.id FROM json_each(?) j JOIN turn t ON t.id = j.value
		JOIN drawing d ON d.clip_id = t.clip_id AND d.gone = 0 AND d.frame BETWEEN t.first AND t.last) ORDER BY clip_id, frame, id`, idList(append(ids, "")))
}
