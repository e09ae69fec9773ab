package main

import (
	"fmt"

	"strokeledger/internal/club"
)

type addCmd struct {
	Clips   []string `arg:"" name:"clip" help:"Media files." type:"path"`
	Session string   `required:"" help:"Day on which they were filmed, year-month-day." placeholder:"DATE"`
}

// Run puts the files into the library, and fails where one of them could not be
// taken.
func (a *addCmd) Run(c *command) error {
	if _, err := club.ParseDate(a.Session); err != nil {
		return err // before a library is made
	}
	d, err := c.open(true)
	if err != nil {
		return err
	}
	defer d.Close()
	c.keepBackup(d)
	progress := newBar(c.say)
	added, err := d.AddClips(c.ctx, a.Session, a.Clips, progress.show)
	progress.end()
	failed := 0
	for _, row := range added {
		switch {
		case row.ClipID == "":
			failed++
			fmt.Fprintln(c.say, onLine(row.Say))
		case row.Say != "":
			fmt.Fprintf(c.out, "%s: %s\n", onLine(row.Name), onLine(row.Say))
		default:
			fmt.Fprintf(c.out, "%s: added.\n", onLine(row.Name))
		}
	}
	if err != nil {
		return err
	}
	if failed > 0 {
		return &club.Problem{Say: fmt.Sprintf("%d of %d files could not be added: see the sentences above.", failed, len(a.Clips))}
	}
	return nil
}
