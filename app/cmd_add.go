package main

import (
	"fmt"
	"os"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

type addCmd struct {
	Clips   []string `arg:"" name:"clip" help:"Media files." type:"path"`
	Session string   `required:"" help:"Day on which they were filmed, year-month-day." placeholder:"DATE"`
}

// Run puts the files into the library, and fails where one of them could not be
// taken.
func (a *addCmd) Run(c *command) error {
	if _, err := dayOf(a.Session); err != nil {
		return err // before a library is made
	}
	if said := a.hopeless(c); said != nil {
		return a.failed(c, said)
	}
	d, err := c.open(true)
	if err != nil {
		return err
	}
	defer d.Close()
	c.keepBackup(d)
	progress := newBar(c.say)
	added, err := d.Sessions.Add(c.ctx, a.Session, a.Clips, progress.show)
	progress.end()
	var failed []string
	for _, row := range added {
		switch {
		case row.ClipID == "":
			failed = append(failed, row.Say)
		case row.Say != "":
			fmt.Fprintf(c.out, "%s: %s\n", onLine(row.Name), onLine(row.Say))
		default:
			fmt.Fprintf(c.out, "%s: added.\n", onLine(row.Name))
		}
	}
	if err != nil {
		return err
	}
	return a.failed(c, failed)
}

// failed tells why files could not be added; nil where all were.
func (a *addCmd) failed(c *command, say []string) error {
	if len(say) == 0 {
		return nil
	}
	for _, s := range say {
		fmt.Fprintln(c.say, onLine(s))
	}
	return &club.Problem{Say: fmt.Sprintf("%d of %d files could not be added: see the sentences above.", len(say), len(a.Clips))}
}

// hopeless returns one sentence for each file where none of them can be opened and
// there is no library yet: then no library is made.
func (a *addCmd) hopeless(c *command) (say []string) {
	if _, err := os.Lstat(c.library); err == nil {
		return nil
	}
	for _, path := range a.Clips {
		film, err := clip.Open(c.ctx, path, clip.Options{Video: -1, Sound: -1})
		if err == nil {
			film.Close()
			return nil
		}
		say = append(say, sentence.Of(err))
	}
	return say
}
