package summary

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/reading"
)

// Filter picks the turns that the query asks for; some is false where no drill fits it.
func (x *Summaries) Filter(ctx context.Context, q Query) (f store.Filter, some bool, err error) {
	if err := q.Check(); err != nil {
		return f, false, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return f, false, err
	}
	f = store.Filter{Players: q.Players, From: q.From, To: q.To}
	f.Drills, some = q.DrillsIn(cat)
	return f, some, nil
}

// Measure adds to a summary's sheets what is measured of the strokes that the query asks
// for, but of those players who are left out.
func (x *Summaries) Measure(ctx context.Context, q Query, s *tally.Summary, without map[club.ID]bool) error {
	f, some, err := x.Filter(ctx, q)
	if err != nil || !some {
		return err
	}
	all, err := x.meter.Readings(ctx, f)
	if err != nil {
		return err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	names := reading.Names{Drills: cat.Drills, Faults: cat.Faults}
	s.Team.Measured = reading.Of(all, "", without, names)
	for i := range s.Players {
		s.Players[i].Measured = reading.Of(all, s.Players[i].PlayerID, without, names)
	}
	return nil
}
