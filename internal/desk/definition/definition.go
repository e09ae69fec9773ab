// Package definition is what the team means by each fault: what counts and what does not,
// how that changed, and pictures that show it.
package definition

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// Definitions are those of a library's faults. They are safe for concurrent use.
type Definitions struct {
	lib     *library.Library
	footage *footage.Clips
	pairs   *pairing.Pairings
}

// New are the definitions of a library.
func New(lib *library.Library, clips *footage.Clips, pairs *pairing.Pairings) *Definitions {
	return &Definitions{lib: lib, footage: clips, pairs: pairs}
}

// Row is what one fault means.
type Row struct {
	FaultID club.ID               `json:"fault_id"`
	Counts  string                `json:"counts"`  // what counts, as it stands now
	Not     string                `json:"not"`     // what does not
	History []standard.Definition `json:"history"` // the latest first; it is in force
	Models  []standard.Model      `json:"models"`  // pictures of what it is, then of what it is not, each in the order in which they were taken
}

// List tells what each fault in use means, in the order of the catalogue. Pictures that
// the coach who marks does not see while a second look goes on are left out.
func (x *Definitions) List(ctx context.Context) ([]Row, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	all, err := store.All[standard.Definition](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	models, err := store.All[standard.Model](ctx, x.lib.Library)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b standard.Definition) int { return cmp.Or(b.Made.Compare(a.Made), cmp.Compare(b.ID, a.ID)) })
	slices.SortStableFunc(models, func(a, b standard.Model) int { return cmp.Or(isFirst(a, b), a.Made.Compare(b.Made)) })
	rows, at := []Row{}, map[club.ID]int{}
	for _, f := range cat.Faults {
		if !f.Retired {
			at[f.ID] = len(rows)
			rows = append(rows, Row{FaultID: f.ID, History: []standard.Definition{}, Models: []standard.Model{}})
		}
	}
	for _, d := range all {
		if i, used := at[d.FaultID]; used {
			if len(rows[i].History) == 0 {
				rows[i].Counts, rows[i].Not = d.Counts, d.Not
			}
			rows[i].History = append(rows[i].History, d)
		}
	}
	for _, m := range models {
		if i, used := at[m.FaultID]; used {
			rows[i].Models = append(rows[i].Models, m)
		}
	}
	return rows, nil
}

func isFirst(a, b standard.Model) int {
	switch {
	case a.Is == b.Is:
		return 0
	case a.Is:
		return -1
	}
	return 1
}

// Text is what a fault means from now on.
type Text struct {
	FaultID club.ID        `json:"fault_id"`
	Counts  string         `json:"counts"`
	Not     string         `json:"not"`
	Older   standard.Older `json:"older"` // of the marks that are there already; empty: not said
}

// Define writes what a fault means from now on, in the name of the coach who marks. Where
// there are marks of it already it has to be said whether they still mean the same, since
// a summary over a change says so; a *club.Problem of the field "older" asks for it. The
// same text once more changes nothing.
func (x *Definitions) Define(ctx context.Context, t Text) (d standard.Definition, err error) {
	f, err := x.fault(ctx, t.FaultID)
	if err != nil {
		return d, err
	}
	d = standard.Definition{ID: x.lib.NewID(), FaultID: f.ID, Counts: strings.TrimSpace(t.Counts), Not: strings.TrimSpace(t.Not), Older: t.Older, Made: x.now()}
	if err := d.Check(); err != nil {
		return d, err
	}
	rows, err := x.List(ctx)
	if err != nil {
		return d, err
	}
	var was []standard.Definition
	for _, r := range rows {
		if r.FaultID == f.ID {
			was = r.History
		}
	}
	switch {
	case len(was) > 0 && was[0].Counts == d.Counts && was[0].Not == d.Not:
		return was[0], nil
	case len(was) == 0 && d.Counts == "" && d.Not == "":
		return d, &club.Problem{Field: "counts", Say: "Write what counts as this fault, or what does not."}
	}
	switch marked, err := x.marked(ctx, f.ID); {
	case err != nil:
		return d, err
	case !marked:
		d.Older = ""
	case d.Older == "":
		return d, &club.Problem{Field: "older", Say: fmt.Sprintf("There are marks of %s already: say whether they still mean the same, do not, or whether nobody can say.", f.Code)}
	}
	if d.CoachID, err = x.lib.Coach(ctx); err != nil {
		return d, err
	}
	_, err = x.lib.Do(ctx, "define "+f.Code, store.Put(d))
	return d, err
}

// marked reports whether there is a mark of a fault.
func (x *Definitions) marked(ctx context.Context, fault club.ID) (bool, error) {
	found := errors.New("found")
	err := x.lib.Each(ctx, store.Filter{}, false, func(r *club.TurnRecord) error {
		if slices.ContainsFunc(r.Marks, func(m club.Mark) bool { return m.FaultID == fault }) {
			return found
		}
		return nil
	})
	if errors.Is(err, found) {
		return true, nil
	}
	return false, err
}

func (x *Definitions) now() time.Time { return x.lib.Now().UTC().Truncate(time.Microsecond) }

func (x *Definitions) fault(ctx context.Context, id club.ID) (club.Fault, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return club.Fault{}, err
	}
	return library.Find(cat.Faults, id, func(f club.Fault) club.ID { return f.ID }, "fault")
}
