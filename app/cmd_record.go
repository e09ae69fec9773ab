package main

import (
	"fmt"
	"os"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
)

type recordCmd struct {
	File   string `arg:"" help:"File to write, JSON." type:"path"`
	Player string `help:"Only this player: name, alias or id." placeholder:"P"`
	From   string `help:"From this day, year-month-day." placeholder:"D"`
	To     string `help:"To this day, included." placeholder:"D"`
	Names  bool   `help:"With full names, notes and consent; without it aliases or initials stand in their place."`

	Session []string `help:"Only the sessions of these days, with what they need, for another library to take in." placeholder:"D"`
	New     bool     `help:"Only what has changed since work was handed over last, for another library to take in."`
	Films   bool     `help:"Copy the films into a folder beside the file, for another library to take in."`
}

// Run writes everything that the library knows as data.
func (r *recordCmd) Run(c *command) error {
	if len(r.Session) > 0 || r.New || r.Films {
		return r.handOver(c)
	}
	q := summary.Query{Names: r.Names}
	var err error
	if q.From, q.To, err = period(r.From, r.To); err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if q.Players, err = playersNamed(cat, r.Player); err != nil {
		return err
	}
	if err := d.Documents.WriteOf(c.ctx, q, "record", r.File, func(f *os.File) error { return d.Documents.WriteRecord(c.ctx, q, f) }); err != nil {
		return err
	}
	fmt.Fprintln(c.out, r.File)
	return nil
}

// handOver writes a record for another library.
func (r *recordCmd) handOver(c *command) error {
	if r.Player != "" || r.From != "" || r.To != "" || r.New && len(r.Session) > 0 {
		return wrongUse("What is handed over is chosen by --session or by --new: leave out the others.")
	}
	w := exchange.Wanted{Names: r.Names, Films: r.Films}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	if w.Sessions, err = r.sessions(c, d); err != nil {
		return err
	}
	if r.New {
		handed, err := d.Exchange.Handed(c.ctx)
		if err != nil {
			return err
		}
		if len(handed) > 0 {
			w.Since = handed[0].Seq
		}
	}
	progress := newBar(c.say)
	done, err := d.Exchange.Write(c.ctx, w, r.File, func(part float64) { progress.show(int(100*part), 100, "films") })
	progress.end()
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out, r.File)
	fmt.Fprintf(c.out, "%d sessions, %d clips, %d turns, %d strokes, %d marks, %d removed.\n", done.Sessions, done.Clips, done.Turns, done.Strokes, done.Marks, done.Removed)
	for _, m := range done.Missing {
		fmt.Fprintln(c.say, onLine("Film not in its place, and not copied: "+m))
	}
	return nil
}

// sessions are those of the days that were asked for.
func (r *recordCmd) sessions(c *command, d *desk.Desk) (ids []club.ID, err error) {
	all, err := d.Library.Sessions(c.ctx)
	if err != nil {
		return nil, err
	}
	for _, text := range r.Session {
		day, err := dayOf(text)
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(all, func(s club.Session) bool { return s.Date == day })
		if i < 0 {
			return nil, &club.Problem{Say: fmt.Sprintf("There is no session on %s: look at the days under Sessions.", day)}
		}
		ids = append(ids, all[i].ID)
	}
	return ids, nil
}

type addRecordCmd struct {
	File string `arg:"" help:"Record to read." type:"path"`
}

// Run reads a record into a library that holds nothing yet.
func (a *addRecordCmd) Run(c *command) error {
	n, err := desk.AddRecord(c.ctx, c.library, a.File, library.Options{Who: c.name, Program: version})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "Read: %d players, %d sessions, %d clips, %d strokes, %d marks.\n", n.Players, n.Sessions, n.Clips, n.Strokes, n.Marks)
	return nil
}
