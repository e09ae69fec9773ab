package desk

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/store"
)

// WriteRecord writes everything that the query picks, for programs and for
// AddRecord: definitions, sessions, clips, turns, strokes, marks and the summary.
// Unless the query asks for names, aliases and initials stand in place of names,
// and notes, files' names and places, and what is on record of consent are left
// out.
func (d *Desk) WriteRecord(ctx context.Context, q Query, w io.Writer) error {
	if err := q.check(); err != nil {
		return err
	}
	r, err := d.record(ctx, q)
	if err != nil {
		return err
	}
	if r.Summary, err = d.Summary(ctx, q); err != nil {
		return err
	}
	if !q.Names {
		r.Summary = r.Summary.Aliased()
		veil(&r)
	}
	return report.WriteRecord(w, r)
}

// record gathers what the query picks. One that picks nothing special gets all,
// also what no turn covers.
func (d *Desk) record(ctx context.Context, q Query) (r report.Record, err error) {
	r = report.Record{
		Names: q.Names, Rulings: []club.Ruling{}, Sessions: []club.Session{}, Clips: []club.Clip{},
		Turns: []club.Turn{}, Strokes: []club.Stroke{}, Marks: []club.Mark{},
	}
	if r.Catalogue, err = d.lib.Catalogue(ctx); err != nil {
		return r, err
	}
	if r.Origin, err = d.origin(ctx, r.Catalogue); err != nil {
		return r, err
	}
	wishes, err := d.Wishes(ctx)
	if err != nil {
		return r, err
	}
	r.Wishes = report.Wishes(wishes)
	rulings, err := d.lib.Rulings(ctx)
	if err != nil {
		return r, err
	}
	sessions, err := d.lib.Sessions(ctx)
	if err != nil {
		return r, err
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return r, err
	}
	if len(q.Players)+len(q.Drills)+len(q.Methods) == 0 && q.From == "" && q.To == "" {
		r.Rulings, r.Sessions, r.Clips = append(r.Rulings, rulings...), append(r.Sessions, sessions...), append(r.Clips, clips...)
		for _, c := range clips {
			led, err := d.lib.OfClip(ctx, c.ID)
			if err != nil {
				return r, err
			}
			r.Turns, r.Strokes, r.Marks = append(r.Turns, led.Turns...), append(r.Strokes, led.Strokes...), append(r.Marks, led.Marks...)
		}
		return r, nil
	}
	return r, d.pick(ctx, q, &r, rulings, sessions, clips)
}

// pick adds the turns that the query picks, and what they need.
func (d *Desk) pick(ctx context.Context, q Query, r *report.Record, rulings []club.Ruling, sessions []club.Session, clips []club.Clip) error {
	var turns []club.TurnRecord
	if drills, some := q.drills(r.Catalogue); some {
		var err error
		if turns, err = d.lib.Record(ctx, store.Filter{Players: q.Players, Drills: drills, From: q.From, To: q.To}); err != nil {
			return err
		}
	}
	needed := map[club.ID]bool{}
	for _, p := range q.Players {
		needed[p] = true
	}
	for _, t := range turns {
		r.Turns, r.Strokes, r.Marks = append(r.Turns, t.Turn), append(r.Strokes, t.Strokes...), append(r.Marks, t.Marks...)
		needed[t.ClipID], needed[t.PlayerID] = true, true
	}
	for _, c := range clips {
		if needed[c.ID] {
			r.Clips = append(r.Clips, c)
			needed[c.SessionID] = true
		}
	}
	for _, s := range sessions {
		if needed[s.ID] {
			r.Sessions = append(r.Sessions, s)
		}
	}
	// Players who are not meant stay away.
	r.Catalogue.Players = slices.DeleteFunc(slices.Clone(r.Catalogue.Players), func(p club.Player) bool { return !needed[p.ID] })
	for _, x := range rulings {
		if needed[x.PlayerID] {
			r.Rulings = append(r.Rulings, x)
		}
	}
	return nil
}

// veil takes everything out of a record that says who people are.
func veil(r *report.Record) {
	players, coaches := shownNames(r.Catalogue, false), shownCoaches(r.Catalogue, false)
	r.Catalogue.Players, r.Catalogue.Coaches = slices.Clone(r.Catalogue.Players), slices.Clone(r.Catalogue.Coaches)
	for i, p := range r.Catalogue.Players {
		r.Catalogue.Players[i] = club.Player{ID: p.ID, Name: players[p.ID], Alias: players[p.ID], Hand: p.Hand, Retired: p.Retired}
	}
	for i, c := range r.Catalogue.Coaches {
		r.Catalogue.Coaches[i].Name = coaches[c.ID]
	}
	for i := range r.Clips {
		r.Clips[i].Name, r.Clips[i].Path = clipNumber(i), ""
	}
	for i := range r.Sessions {
		r.Sessions[i].Note = ""
	}
	for i := range r.Marks {
		r.Marks[i].Note = ""
	}
	for i := range r.Rulings {
		r.Rulings[i].Reason = "not told"
	}
}

// RecordAdded counts what AddRecord took.
type RecordAdded struct{ Players, Sessions, Clips, Strokes, Marks int }

// AddRecord reads a record into the library in dir, which is made where it is
// absent and must hold no player, session or clip yet; definitions that it holds,
// such as the starter ones, give way to those of the record. It is one step of the
// change log. Clips lie where the record says, or are found later.
func AddRecord(ctx context.Context, dir, file string, o Options) (n RecordAdded, err error) {
	r, err := readRecord(file)
	if err != nil {
		return n, err
	}
	o.Create, o.bare = true, true
	d, err := Open(ctx, dir, o)
	if err != nil {
		return n, err
	}
	defer func() { err = errors.Join(err, d.Close()) }()
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return n, err
	}
	sessions, err := d.lib.Sessions(ctx)
	if err != nil {
		return n, err
	}
	if len(cat.Players)+len(sessions) > 0 {
		return n, &club.Problem{Say: fmt.Sprintf("The library in %q is in use already: choose a new folder for the record with --library.", d.dir)}
	}
	edits := append(giveWay(cat, r.Catalogue), rows(r)...)
	var author club.ID
	for _, c := range r.Catalogue.Coaches {
		if author == "" || !c.Retired {
			author = c.ID
		}
	}
	if _, err := d.own.count(d.lib.Do(ctx, author, "record read", edits...)); err != nil {
		return n, err
	}
	if err := d.SetWishes(ctx, Wishes(r.Wishes)); err != nil {
		return n, err
	}
	return RecordAdded{len(r.Catalogue.Players), len(r.Sessions), len(r.Clips), len(r.Strokes), len(r.Marks)}, nil
}

func readRecord(file string) (report.Record, error) {
	f, err := os.Open(file)
	if err != nil {
		return report.Record{}, FileError("read", file, err)
	}
	defer f.Close()
	r, err := report.ReadRecord(f)
	switch {
	case errors.Is(err, report.ErrNewerRecord):
		return r, &club.Problem{Say: fmt.Sprintf("The record %q was written by a newer version of this program: install that version to read it.", file)}
	case errors.Is(err, report.ErrNoRecord):
		return r, &club.Problem{Say: fmt.Sprintf("The file %q is not a record of Strokeledger: choose one that the record command wrote.", file)}
	case err != nil:
		return r, FileError("read", file, err)
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
	edits = append(edits, puts(r.Catalogue.Coaches)...)
	edits = append(edits, puts(r.Catalogue.Players)...)
	edits = append(edits, puts(r.Catalogue.Drills)...)
	edits = append(edits, puts(r.Catalogue.Faults)...)
	edits = append(edits, puts(r.Sessions)...)
	edits = append(edits, puts(r.Clips)...)
	edits = append(edits, puts(r.Turns)...)
	edits = append(edits, puts(r.Strokes)...)
	edits = append(edits, puts(r.Marks)...)
	return append(edits, puts(r.Rulings)...)
}

func puts[T store.Row](rows []T) (edits []store.Edit) {
	for _, r := range rows {
		edits = append(edits, store.Put(r))
	}
	return edits
}
