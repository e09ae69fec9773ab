package publish

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/redact"
	"strokeledger/internal/report/record"
	"strokeledger/internal/store"
)

// WriteRecord writes everything that the query picks, for programs and for
// desk.AddRecord: definitions, sessions, clips, turns, strokes, marks, looks,
// rulers, pairings, pairs and the summary.
// Unless the query asks for names, aliases and initials stand in place of names,
// and notes, files' names and places, and what is on record of consent are left
// out.
func (d *Documents) WriteRecord(ctx context.Context, q summary.Query, w io.Writer) error {
	if err := q.Check(); err != nil {
		return err
	}
	r, called, err := d.record(ctx, q)
	if err != nil {
		return err
	}
	s, err := d.summary.Sum(ctx, q)
	if err != nil {
		return err
	}
	if !q.Names {
		s = s.Aliased()
		r.DropTexts()
		r.Removed.DropTexts()
		redact.Rows(&r.Catalogue, r.Clips, r.Sessions, r.Marks, r.Rulings, called)
		unnamed(r.Pairs)
		unnamed(r.Removed.Pairs)
		redact.Rows(&r.Removed.Catalogue, r.Removed.Clips, r.Removed.Sessions, r.Removed.Marks, r.Removed.Rulings, called)
	}
	r.Summary = &s
	return record.Write(w, r)
}

// unnamed gives pairs names that tell nobody's.
func unnamed(pairs []picture.Pair) {
	for i := range pairs {
		pairs[i].Name = fmt.Sprintf("pair %d", i+1)
	}
}

// record gathers what the query picks, with what documents without names call the
// people and clips of the whole library. A query that picks nothing special gets
// all, also what no turn covers.
func (d *Documents) record(ctx context.Context, q summary.Query) (r record.Record, called map[club.ID]string, err error) {
	r = record.Record{Names: q.Names, Rows: record.NoRows(), Removed: record.NoRows()}
	goals, err := d.ladder.Goals(ctx)
	if err != nil {
		return r, nil, err
	}
	r.Goals = record.Goals(goals)
	if r.Former, err = d.lib.FormerPlayer(ctx); err != nil {
		return r, nil, err
	}
	all := len(q.Players)+len(q.Drills)+len(q.Methods) == 0 && q.From == "" && q.To == ""
	var f *store.Filter
	if !all {
		if f, err = d.filter(ctx, q); err != nil {
			return r, nil, err
		}
	}
	now, moments, err := d.both(ctx, f)
	if err != nil {
		return r, nil, err
	}
	r.Catalogue = now.Catalogue
	if r.Origin, err = d.origin(ctx, r.Catalogue); err != nil {
		return r, nil, err
	}
	called = redact.Players(r.Catalogue, false)
	maps.Copy(called, redact.Coaches(r.Catalogue, false))
	for i, c := range now.Clips {
		called[c.ID] = redact.Clip(i)
	}
	r.Turns, r.Strokes, r.Marks = append(r.Turns, now.Turns...), append(r.Strokes, now.Strokes...), append(r.Marks, now.Marks...)
	r.Standard = now.Standard
	r.Looks, r.Rulers, r.Pairings = append(r.Looks, now.Looks...), append(r.Rulers, now.Rulers...), append(r.Pairings, now.Pairings...)
	r.Adjustments, r.Pairs = append(r.Adjustments, now.Adjustments...), append(r.Pairs, now.Pairs...)
	r.Drawings = append(r.Drawings, now.Drawings...)
	if all {
		r.Rulings, r.Sessions, r.Clips = append(r.Rulings, now.Rulings...), append(r.Sessions, now.Sessions...), append(r.Clips, now.Clips...)
	} else {
		pick(q, &r, now)
	}
	for _, row := range moments.Side["same"] {
		var s merge.Same
		if err := json.Unmarshal(row.Image, &s); err != nil {
			return r, nil, err
		}
		r.Same = append(r.Same, s)
	}
	if all {
		r.Until = moments.Last
	}
	return r, called, r.Carry(moments.Side, all)
}

// both is a library at one moment, and when what it has was changed.
func (d *Documents) both(ctx context.Context, f *store.Filter) (now store.Snapshot, moments merge.State, err error) {
	for {
		seq, err := d.lib.Latest(ctx)
		if err != nil {
			return now, moments, err
		}
		if now, err = d.lib.Snapshot(ctx, f); err != nil {
			return now, moments, err
		}
		wanted := merge.Selection{All: f == nil}
		for _, t := range now.Turns {
			wanted.Clips = append(wanted.Clips, t.ClipID)
		}
		if moments, err = d.lib.Work(ctx, wanted); err != nil || moments.Seq == seq { // else somebody has changed something in between
			return now, moments, err
		}
	}
}

// filter picks the turns that a query picks.
func (d *Documents) filter(ctx context.Context, q summary.Query) (*store.Filter, error) {
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	f := &store.Filter{Players: q.Players, From: q.From, To: q.To}
	var some bool
	if f.Drills, some = q.DrillsIn(cat); !some {
		f.Drills = []club.ID{""} // which no turn has
	}
	return f, nil
}

// pick adds what the turns of a record need.
func pick(q summary.Query, r *record.Record, now store.Snapshot) {
	needed := map[club.ID]bool{}
	for _, p := range q.Players {
		needed[p] = true
	}
	for _, t := range r.Turns {
		needed[t.ClipID], needed[t.PlayerID] = true, true
	}
	for _, c := range now.Clips {
		if needed[c.ID] {
			r.Clips = append(r.Clips, c)
			needed[c.SessionID] = true
		}
	}
	for _, s := range now.Sessions {
		if needed[s.ID] {
			r.Sessions = append(r.Sessions, s)
		}
	}
	if !needed[r.Former] {
		r.Former = ""
	}
	// Players who are not meant stay away.
	r.Catalogue.Players = slices.DeleteFunc(slices.Clone(r.Catalogue.Players), func(p club.Player) bool { return !needed[p.ID] })
	for _, x := range now.Rulings {
		if needed[x.PlayerID] {
			r.Rulings = append(r.Rulings, x)
		}
	}
}
