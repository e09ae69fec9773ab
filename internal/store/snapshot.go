package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
)

// Snapshot is a library at one moment. Its Ledger is in order of clip and frame.
type Snapshot struct {
	Catalogue club.Catalogue // as [Library.Catalogue] gives it
	Rulings   []club.Ruling
	Sessions  []club.Session
	Clips     []club.Clip // all, in the order in which they were added
	Ledger
	Adjustments []picture.Adjustment // in order of clip
	Standard    standard.Rows
}

// Snapshot reads a library at one moment: with a filter only the turns that it
// picks and what they cover, in order of date, clip and frame; nil for all that was
// logged. It hides nothing, so it is refused to the coach of a blind look that goes on.
// The number of queries does not grow with the library.
func (l *Library) Snapshot(ctx context.Context, f *Filter) (s Snapshot, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		if err := notBlind(ctx, tx); err != nil {
			return err
		}
		if s.Catalogue, err = catalogue(ctx, tx); err != nil {
			return err
		}
		if s.Rulings, err = rulings().all(ctx, tx, "WHERE gone = 0 ORDER BY date, id"); err != nil {
			return err
		}
		if s.Sessions, err = sessions().all(ctx, tx, "WHERE gone = 0 ORDER BY date, id"); err != nil {
			return err
		}
		if s.Clips, err = clips().all(ctx, tx, "WHERE gone = 0 ORDER BY id"); err != nil {
			return err
		}
		if s.Standard, err = standardRows(ctx, tx); err != nil {
			return err
		}
		if f != nil {
			if err := s.pick(ctx, tx, *f); err != nil {
				return err
			}
			s.Standard = s.Standard.Of(s.Turns, s.Strokes)
			return nil
		}
		if s.Turns, err = turns().all(ctx, tx, "WHERE gone = 0 ORDER BY clip_id, first, id"); err != nil {
			return err
		}
		if s.Strokes, err = strokes().all(ctx, tx, "WHERE gone = 0 ORDER BY clip_id, frame, id"); err != nil {
			return err
		}
		if s.Marks, err = marks().all(ctx, tx, "WHERE gone = 0 ORDER BY clip_id, frame, id"); err != nil {
			return err
		}
		if s.Looks, err = looks().all(ctx, tx, "WHERE gone = 0 ORDER BY clip_id, first, id"); err != nil {
			return err
		}
		if s.Adjustments, err = adjustments().all(ctx, tx, "WHERE gone = 0 ORDER BY id"); err != nil {
			return err
		}
		if s.Drawings, err = drawings().all(ctx, tx, "WHERE gone = 0 ORDER BY clip_id, frame, id"); err != nil {
			return err
		}
		if s.Rulers, err = rulers().all(ctx, tx, "WHERE gone = 0 ORDER BY id"); err != nil {
			return err
		}
		if s.Pairs, err = pairs().all(ctx, tx, "WHERE gone = 0 ORDER BY id"); err != nil {
			return err
		}
		s.Pairings, err = pairings().all(ctx, tx, "WHERE gone = 0 ORDER BY id")
		return err
	})
	return s, err
}

func (s *Snapshot) pick(ctx context.Context, tx *sql.Tx, f Filter) error {
	var r record
	f.Raw = true
	if err := r.read(ctx, tx, f, nil); err != nil {
		return err
	}
	met, on := map[club.ID]bool{}, []club.ID{""} // one look may cover several turns
	for _, t := range r.all {
		on = append(on, t.ClipID)
		s.Turns, s.Strokes, s.Marks = append(s.Turns, t.Turn), append(s.Strokes, t.Strokes...), append(s.Marks, t.Marks...)
		for _, look := range t.Looks {
			if !met[look.ID] {
				met[look.ID] = true
				s.Looks = append(s.Looks, look)
			}
		}
	}
	var err error
	if s.Adjustments, err = adjustments().all(ctx, tx, "WHERE gone = 0 AND id IN (SELECT value FROM json_each(?)) ORDER BY id", idList(on)); err != nil {
		return err
	}
	if s.Drawings, err = drawnOn(ctx, tx, s.Turns); err != nil {
		return err
	}
	if s.Rulers, err = rulers().all(ctx, tx, "WHERE gone = 0 AND id IN (SELECT value FROM json_each(?)) ORDER BY id", idList(on)); err != nil {
		return err
	}
	if s.Pairs, err = pairs().all(ctx, tx, "WHERE gone = 0 AND clip_id IN (SELECT value FROM json_each(?1)) AND other_id IN (SELECT value FROM json_each(?1)) ORDER BY id", idList(on)); err != nil {
		return err
	}
	s.Pairings, err = pairings().all(ctx, tx, "WHERE gone = 0 AND id IN (SELECT value FROM json_each(?1)) AND on_id IN (SELECT value FROM json_each(?1)) ORDER BY id", idList(on))
	return err
}
