package exchange

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"github.com/google/uuid"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/report/record"
)

// Begin puts a record into a library that holds nothing but definitions, which give way
// to those of the record.
func (x *Exchange) Begin(ctx context.Context, r record.Record) error {
	assumeLooks(&r)
	theirs, late, err := r.Side()
	if err != nil {
		return err
	}
	ours, err := x.lib.Work(ctx, merge.Selection{All: true})
	if err != nil {
		return err
	}
	var author club.ID
	for _, c := range r.Catalogue.Coaches {
		if author == "" || !c.Retired {
			author = c.ID
		}
	}
	now := merge.Stamp{Clock: max(ours.Clock, late, x.lib.Now().UnixMicro()-1) + 1, Author: author}
	plan, err := merge.Bring(merge.Side{}, theirs, merge.Options{Now: now, Told: r.Names, Forgotten: func(club.ID) bool { return false },
		Alike: func(club.Clip, club.Clip) bool { return false }, Film: func(c club.Clip) merge.Film { return merge.Even{Clip: c} }})
	if err != nil {
		return err
	}
	if len(plan.Left) > 0 {
		return &club.Problem{Say: "The record names what it does not hold, so nothing was read: " + plan.Left[0]}
	}
	keep := map[club.ID]bool{}
	for _, w := range plan.Writes {
		keep[w.ID] = true
	}
	for _, table := range []string{"coach", "drill", "fault"} {
		for _, row := range ours.Side[table] {
			if keep[row.ID] || row.Gone {
				continue
			}
			gone, err := merge.Named(table).Changed(row, nil, now)
			if err != nil {
				return err
			}
			plan.Writes = append(plan.Writes, merge.Write{Table: table, Row: gone})
		}
	}
	_, err = x.lib.TakeIn(ctx, now, ours, merge.Taken{ID: r.Until, File: "record"}, plan.Writes)
	return err
}

// assumeLooks gives a record of a time when no looks were kept those that its marks
// stand for, each time under the same IDs.
func assumeLooks(r *record.Record) {
	if r.Looks != nil {
		return
	}
	faults := make([]club.ID, len(r.Catalogue.Faults))
	for i, f := range r.Catalogue.Faults {
		faults[i] = f.ID
	}
	r.Looks = club.AssumedLooks(r.Turns, r.Marks, faults, func() club.ID { return "" })
	for i, l := range r.Looks {
		sum := sha256.Sum256(fmt.Appendf(nil, "%s %s %d %d", l.ClipID, l.CoachID, l.First, l.Last))
		r.Looks[i].ID = club.ID(uuid.Must(uuid.FromBytes(sum[:16])).String())
	}
}

// withoutKnown leaves out assumed looks where our library has a look of the coach
// through all of the same pictures.
func withoutKnown(theirs, ours merge.Side) (merge.Side, error) {
	type by struct{ clip, coach club.ID }
	have := map[by][]club.Look{}
	for _, r := range ours["look"] {
		var l club.Look
		if err := json.Unmarshal(r.Image, &l); err != nil {
			return nil, err
		}
		if !r.Gone {
			have[by{l.ClipID, l.CoachID}] = append(have[by{l.ClipID, l.CoachID}], l)
		}
	}
	left := maps.Clone(theirs)
	left["look"] = nil
	for _, r := range theirs["look"] {
		var l club.Look
		if err := json.Unmarshal(r.Image, &l); err != nil {
			return nil, err
		}
		known := slices.ContainsFunc(have[by{l.ClipID, l.CoachID}], func(o club.Look) bool {
			return o.ID != l.ID && o.First <= l.First && l.Last <= o.Last
		})
		if !known || !l.Assumed || r.Stamp.Clock > 0 {
			left["look"] = append(left["look"], r)
		}
	}
	return left, nil
}
