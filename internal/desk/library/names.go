package library

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Names are what ids stand for.
type Names struct {
	Coaches, Players, Drills map[club.ID]string
	Faults                   map[club.ID]club.Fault
	Clips                    map[club.ID]club.Clip
	Dates                    map[club.ID]club.Date // by session
}

// Names looks up everything that has a name.
func (l *Library) Names(ctx context.Context) (Names, error) {
	n := Names{
		map[club.ID]string{}, map[club.ID]string{}, map[club.ID]string{},
		map[club.ID]club.Fault{}, map[club.ID]club.Clip{}, map[club.ID]club.Date{},
	}
	cat, err := l.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	clips, err := l.Clips(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := l.Sessions(ctx)
	if err != nil {
		return n, err
	}
	for _, c := range cat.Coaches {
		n.Coaches[c.ID] = c.Name
	}
	for _, p := range cat.Players {
		n.Players[p.ID] = p.Name
	}
	for _, r := range cat.Drills {
		n.Drills[r.ID] = r.Name
	}
	for _, f := range cat.Faults {
		n.Faults[f.ID] = f
	}
	for _, c := range clips {
		n.Clips[c.ID] = c
	}
	for _, s := range sessions {
		n.Dates[s.ID] = s.Date
	}
	return n, nil
}

// TurnRecord is one turn of a clip with what a clip's ledger has of it.
func TurnRecord(row club.Clip, led store.Ledger, t club.Turn) club.TurnRecord {
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

// PutAll puts all of some rows.
func PutAll[T store.Row](rows []T) (edits []store.Edit) {
	for _, r := range rows {
		edits = append(edits, store.Put(r))
	}
	return edits
}

// Find picks the row with an id, or says that it is gone.
func Find[T any](rows []T, id club.ID, of func(T) club.ID, what string) (T, error) {
	for _, r := range rows {
		if of(r) == id {
			return r, nil
		}
	}
	var none T
	return none, Gone(what)
}

// Gone says that a row is not there any more.
func Gone(what string) error {
	return &club.Problem{Say: "This " + what + " is no longer in the library: go back and look again."}
}
