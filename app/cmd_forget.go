package main

import (
	"fmt"
	"io"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/erase"
)

type forgetCmd struct {
	Player        string `required:"" help:"Name, alias or id of the player." placeholder:"P"`
	Yes           bool   `help:"Do it: this cannot be undone. Without it only what would go is told."`
	KeepCounts    bool   `help:"Keep turns, strokes and marks as numbers of nobody, so that the team's totals stay."`
	Notes         bool   `help:"Empty also the notes of others in which a part of the name stands."`
	Shared        bool   `help:"Take out the clips too on which others play; their entries there go as well."`
	DeleteFilms   bool   `help:"Delete the film files of the clips that are taken out."`
	KeepDocuments bool   `help:"Leave the documents and reels that show this player alone."`
}

// Run tells what is kept about a player, and with --yes takes it away.
func (f *forgetCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	p, err := playerNamed(cat, f.Player)
	if err != nil {
		return err
	}
	all, err := d.Erase.Preview(c.ctx, p.ID)
	if err != nil {
		return err
	}
	o := all.Alone()
	o.KeepCounts, o.Notes, o.Films = f.KeepCounts, f.Notes, f.DeleteFilms
	if f.KeepDocuments {
		o.Documents = nil
	}
	if f.Shared {
		o.Clips = nil
		for _, clip := range all.Clips {
			o.Clips = append(o.Clips, clip.ID)
		}
	}
	printPreview(c.out, all, o)
	if !f.Yes {
		fmt.Fprintln(c.out, "Nothing was changed: add --yes to do it. It cannot be undone.")
		return nil
	}
	left, err := d.Erase.Forget(c.ctx, o)
	tell(c, left)
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out, "The player is forgotten. Backups that you keep elsewhere still hold the player: delete those as well.")
	return nil
}

// printPreview prints what goes and what stays.
func printPreview(w io.Writer, f erase.Preview, o erase.Request) {
	line := func(format string, args ...any) { fmt.Fprintln(w, onLine(fmt.Sprintf(format, args...))) }
	line("%s: %d turns, %d strokes, %d marks, %d rulings.", f.Player.Name, f.Turns, f.Strokes, f.Marks, f.Rulings)
	line("The change log with its %d entries and every step of undo, and %d backups in the library's folder; a new one is made.", f.Steps, f.Copies)
	goes := make(map[club.ID]bool)
	for _, id := range o.Clips {
		goes[id] = true
	}
	for _, c := range f.Clips {
		word := "stays, without this player's entries"
		switch {
		case goes[c.ID] && o.Films && !c.Missing:
			word = "is taken out, and its film deleted"
		case goes[c.ID]:
			word = "is taken out; its film stays where it is"
		}
		if len(c.Others) > 0 {
			word += "; it also shows " + list(c.Others)
		}
		line("Clip %s of %s %s: %s", c.Name, c.Date, word, c.Path)
	}
	written := make(map[string]bool)
	for _, path := range o.Documents {
		written[path] = true
	}
	for _, doc := range f.Documents {
		word := "stays"
		if written[doc.Path] {
			word = "is deleted"
		}
		if len(doc.Others) > 0 {
			word += "; it also shows " + list(doc.Others)
		}
		line("Document %s %s.", doc.Path, word)
	}
	for _, n := range f.Notes {
		switch {
		case !n.Note:
			line("The name stands in the %s, which stays: %s", n.Where, n.Text)
		case n.Whole || o.Notes:
			line("The name is taken out of the %s: %s", n.Where, n.Text)
		default:
			line("A part of the name stands in the %s, which stays: %s", n.Where, n.Text)
		}
	}
}

// list names at most three and counts the rest.
func list(names []string) string {
	switch n := len(names); {
	case n == 1:
		return names[0]
	case n <= 3:
		return fmt.Sprintf("%s and %s", strings.Join(names[:n-1], ", "), names[n-1])
	}
	return fmt.Sprintf("%s and %d others", strings.Join(names[:3], ", "), len(names)-3)
}
