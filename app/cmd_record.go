package main

import (
	"fmt"
	"os"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
)

type recordCmd struct {
	File   string `arg:"" help:"File to write, JSON." type:"path"`
	Player string `help:"Only this player: name, alias or id." placeholder:"P"`
	From   string `help:"From this day, year-month-day." placeholder:"D"`
	To     string `help:"To this day, included." placeholder:"D"`
	Names  bool   `help:"With full names, notes and consent; without it aliases or initials stand in their place."`
}

// Run writes everything that the library knows as data.
func (r *recordCmd) Run(c *command) error {
	q := summary.Query{Names: r.Names}
	var err error
	if q.From, q.To, err = period(r.From, r.To); err != nil {
		return err
	}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	if r.Player != "" {
		cat, err := d.Library.Catalogue(c.ctx)
		if err != nil {
			return err
		}
		p, err := playerNamed(cat, r.Player)
		if err != nil {
			return err
		}
		q.Players = []club.ID{p.ID}
	}
	if err := d.Documents.WriteOf(c.ctx, q, "record", r.File, func(f *os.File) error { return d.Documents.WriteRecord(c.ctx, q, f) }); err != nil {
		return err
	}
	fmt.Fprintln(c.out, r.File)
	return nil
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
