package desk

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// names looks up what ids stand for.
type names struct {
	coaches, players, drills map[club.ID]string
	faults                   map[club.ID]club.Fault
	clips                    map[club.ID]club.Clip
	dates                    map[club.ID]club.Date // by session
}

func (d *Desk) names(ctx context.Context) (names, error) {
	n := names{
		map[club.ID]string{}, map[club.ID]string{}, map[club.ID]string{},
		map[club.ID]club.Fault{}, map[club.ID]club.Clip{}, map[club.ID]club.Date{},
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := d.lib.Sessions(ctx)
	if err != nil {
		return n, err
	}
	for _, c := range cat.Coaches {
		n.coaches[c.ID] = c.Name
	}
	for _, p := range cat.Players {
		n.players[p.ID] = p.Name
	}
	for _, r := range cat.Drills {
		n.drills[r.ID] = r.Name
	}
	for _, f := range cat.Faults {
		n.faults[f.ID] = f
	}
	for _, c := range clips {
		n.clips[c.ID] = c
	}
	for _, s := range sessions {
		n.dates[s.ID] = s.Date
	}
	return n, nil
}

// turnRecord is one turn of a clip with what a clip's ledger has of it.
func turnRecord(row club.Clip, led store.Ledger, t club.Turn) club.TurnRecord {
	r := club.TurnRecord{Turn: t, Base: row.Base, Zero: row.FirstTicks, Picture: row.Picture()}
	for _, s := range led.Strokes {
		if t.Covers(s.Frame) {
			r.Strokes = append(r.Strokes, s)
		}
	}
	for _, m := range led.Marks {
		if t.Covers(m.Frame) {
			r.Marks = append(r.Marks, m)
		}
	}
	for _, l := range led.Looks {
		if l.First <= t.Last && l.Last >= t.First {
			r.Looks = append(r.Looks, l)
		}
	}
	return r
}

func puts[T store.Row](rows []T) (edits []store.Edit) {
	for _, r := range rows {
		edits = append(edits, store.Put(r))
	}
	return edits
}

// find picks the row with an id, or says that it is gone.
func find[T any](rows []T, id club.ID, of func(T) club.ID, what string) (T, error) {
	for _, r := range rows {
		if of(r) == id {
			return r, nil
		}
	}
	var none T
	return none, gone(what)
}

func gone(what string) error {
	return &club.Problem{Say: "This " + what + " is no longer in the library: go back and look again."}
}
