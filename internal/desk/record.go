package desk

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/document"
	"strokeledger/internal/report"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// RecordAdded counts what AddRecord took.
type RecordAdded struct{ Players, Sessions, Clips, Strokes, Marks int }

// AddRecord reads a record into the library in dir, which is made where it is
// absent and must hold no player, session or clip yet; definitions that it holds,
// such as the starter ones, give way to those of the record. It is one step of the
// change log; where it fails, a library that was made for it goes again. Clips lie
// where the record says, or are found later.
func AddRecord(ctx context.Context, dir, file string, o library.Options) (n RecordAdded, err error) {
	r, err := readRecord(file)
	if err != nil {
		return n, err
	}
	o.Create, o.Empty = true, true
	unmake, refused := store.Unmade(dir), false
	d, err := Open(ctx, dir, o)
	if err != nil {
		return n, err
	}
	defer func() {
		if err = errors.Join(err, d.Close()); refused {
			unmake()
		}
	}()
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := d.Library.Sessions(ctx)
	if err != nil {
		return n, err
	}
	if len(cat.Players)+len(sessions) > 0 {
		return n, &club.Problem{Say: fmt.Sprintf("The library in %q is in use already: choose a new folder for the record with --library.", d.Library.Dir)}
	}
	assumeLooks(&r, d.Library.NewID)
	edits := append(giveWay(cat, r.Catalogue), rows(r)...)
	var author club.ID
	for _, c := range r.Catalogue.Coaches {
		if author == "" || !c.Retired {
			author = c.ID
		}
	}
	// The settings first: with the rows the library is in use, and takes no second try.
	refused = true
	if err := d.Ladder.SetGoals(ctx, ladder.Goals(r.Goals)); err != nil {
		return n, err
	}
	if r.Former != "" {
		if err := d.Library.SetFormerPlayer(ctx, r.Former); err != nil {
			return n, err
		}
	}
	if _, err := d.Library.DoAs(ctx, author, "record read", edits...); err != nil {
		return n, err
	}
	refused = false
	return RecordAdded{len(r.Catalogue.Players), len(r.Sessions), len(r.Clips), len(r.Strokes), len(r.Marks)}, nil
}

func readRecord(file string) (report.Record, error) {
	f, err := document.Open(file)
	if err != nil {
		return report.Record{}, err
	}
	defer f.Close()
	r, err := report.ReadRecord(f)
	switch {
	case errors.Is(err, report.ErrNewerRecord):
		return r, &club.Problem{Say: fmt.Sprintf("The record %q was written by a newer version of this program: install that version to read it.", file)}
	case errors.Is(err, report.ErrNoRecord):
		return r, &club.Problem{Say: fmt.Sprintf("The file %q is not a record of Strokeledger: choose one that the record command wrote.", file)}
	case err != nil:
		return r, sentence.File("read", file, err)
	}
	return r, nil
}

// giveWay removes the definitions of a library that a record does not hold.
func giveWay(have, record club.Catalogue) (edits []store.Edit) {
	keep := map[club.ID]bool{}
	for _, r := range record.Coaches {
		keep[r.ID] = true
	}
	for _, r := range record.Drills {
		keep[r.ID] = true
	}
	for _, r := range record.Faults {
		keep[r.ID] = true
	}
	for _, r := range have.Coaches {
		if !keep[r.ID] {
			edits = append(edits, store.Remove[club.Coach](r.ID))
		}
	}
	for _, r := range have.Drills {
		if !keep[r.ID] {
			edits = append(edits, store.Remove[club.Drill](r.ID))
		}
	}
	for _, r := range have.Faults {
		if !keep[r.ID] {
			edits = append(edits, store.Remove[club.Fault](r.ID))
		}
	}
	return edits
}

// rows puts all of a record.
func rows(r report.Record) (edits []store.Edit) {
	edits = append(edits, library.PutAll(r.Catalogue.Coaches)...)
	edits = append(edits, library.PutAll(r.Catalogue.Players)...)
	edits = append(edits, library.PutAll(r.Catalogue.Drills)...)
	edits = append(edits, library.PutAll(r.Catalogue.Faults)...)
	edits = append(edits, library.PutAll(r.Sessions)...)
	edits = append(edits, library.PutAll(r.Clips)...)
	edits = append(edits, library.PutAll(r.Turns)...)
	edits = append(edits, library.PutAll(r.Strokes)...)
	edits = append(edits, library.PutAll(r.Marks)...)
	edits = append(edits, library.PutAll(r.Looks)...)
	edits = append(edits, library.PutAll(r.Rulings)...)
	edits = append(edits, library.PutAll(r.Rulers)...)
	return append(edits, library.PutAll(r.Pairings)...)
}

// assumeLooks gives a record of a time when no looks were kept those that its marks
// stand for, as an older library gets them.
func assumeLooks(r *report.Record, newID func() club.ID) {
	if r.Looks != nil {
		return
	}
	faults := make([]club.ID, len(r.Catalogue.Faults))
	for i, f := range r.Catalogue.Faults {
		faults[i] = f.ID
	}
	r.Looks = club.AssumedLooks(r.Turns, r.Marks, faults, newID)
}
