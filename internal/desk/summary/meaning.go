package summary

import (
	"context"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/meaning"
)

// redefined says on each sheet where it lies over a change of what a fault means.
func (x *Summaries) redefined(ctx context.Context, q Query, s *tally.Summary) error {
	all, err := store.All[standard.Definition](ctx, x.lib.Library)
	if err != nil {
		return err
	}
	changes := map[club.ID][]meaning.Change{}
	for _, d := range all {
		if d.Older == standard.OlderOther || d.Older == standard.OlderUnknown {
			changes[d.FaultID] = append(changes[d.FaultID], meaning.Change{At: d.Made, Other: d.Older == standard.OlderOther})
		}
	}
	if len(changes) == 0 {
		return nil
	}
	made, err := x.made(ctx, q, s, changes)
	if err != nil {
		return err
	}
	sheets := []*tally.Sheet{&s.Team}
	for i := range s.Players {
		sheets = append(sheets, &s.Players[i])
	}
	for _, sheet := range sheets {
		var all []string
		sheet.Meanings = map[club.ID]meaning.Said{}
		for _, f := range sheet.All.Faults {
			if changes[f.FaultID] == nil {
				continue
			}
			one := meaning.Fault{Code: f.Code, Changes: changes[f.FaultID], First: string(sheet.All.First), Last: string(sheet.All.Last)}
			for _, id := range f.MarkIDs {
				one.Marks = append(one.Marks, made[f.FaultID][id])
			}
			if sheet == &s.Team { // which may be lean
				one.Marks = one.Marks[:0]
				for _, at := range made[f.FaultID] {
					one.Marks = append(one.Marks, at)
				}
			}
			if said := one.Said(); said.Coach != "" {
				sheet.Meanings[f.FaultID] = said
				all = append(all, said.Coach)
			}
		}
		sheet.Redefined = strings.Join(all, " ")
	}
	return nil
}

// made tells when the marks were made that all of it counts, of the faults that have
// changed.
func (x *Summaries) made(ctx context.Context, q Query, s *tally.Summary, changes map[club.ID][]meaning.Change) (map[club.ID]map[club.ID]time.Time, error) {
	var ids []club.ID
	for _, f := range s.Team.All.Faults {
		if changes[f.FaultID] == nil {
			continue
		}
		of := f.MarkIDs
		if len(of) == 0 && f.Marks > 0 {
			var err error
			if of, err = x.Behind(ctx, q, Kind{FaultID: f.FaultID}); err != nil {
				return nil, err
			}
		}
		ids = append(ids, of...)
	}
	marks, err := x.lib.MarksByID(ctx, ids)
	if err != nil {
		return nil, err
	}
	made := map[club.ID]map[club.ID]time.Time{}
	for _, m := range marks {
		if made[m.FaultID] == nil {
			made[m.FaultID] = map[club.ID]time.Time{}
		}
		made[m.FaultID][m.ID] = m.Made
	}
	return made, nil
}
