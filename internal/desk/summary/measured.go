package summary

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/reading"
)

// Measure adds to a summary's sheets what is measured of the strokes that the query asks
// for, but of those players who are left out.
func (x *Summaries) Measure(ctx context.Context, q Query, s *tally.Summary, without map[club.ID]bool) error {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	drills, some := q.DrillsIn(cat)
	if !some {
		return nil
	}
	all, err := x.meter.Readings(ctx, store.Filter{Players: q.Players, Drills: drills, From: q.From, To: q.To})
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
