// Package family writes the page that a player takes home: one side, in plain words, what
// is good first, then one thing to work on. It shows no intervals, no codes and nobody
// else. It is pure.
package family

import (
	"embed"
	"fmt"
	"io"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/report/sheet"
	"strokeledger/internal/tally"
)

//go:embed page.gohtml page.css
var files embed.FS

// Page is what goes onto one page. Name, notes and captions are data.
type Page struct {
	Name     string // as the page shows it: full name, alias or initials
	From, To club.Date
	Sheet    tally.Sheet
	Drills   map[club.ID]string // their names
	Notes    []string           // of the coach, on what is to work on; none: no notes
	Good     *Picture           // of what went well; nil: none
	Work     *Picture           // of what to work on; nil: none
	Made     time.Time
}

// Picture is a picture that shows the player alone.
type Picture struct {
	JPEG  []byte
	Day   club.Date
	Drawn []picture.Drawing // over it, their places as it is shown
}

// mostNotes is how many of the coach's notes fit on a page.
const mostNotes = 2

// view is the page as the template shows it.
type view struct {
	Name, Period, Made string
	Good               []string
	Work               work
	Notes              []string
	Pictures           []sheet.Still
}

// Write writes the page as one HTML file that refers to nothing outside itself, runs no
// script and prints on one side of A4 or Letter.
func Write(w io.Writer, p Page) error {
	v := view{
		Name: plain.Text(p.Name, longestName), Period: period(&p), Good: good(&p), Work: workOn(&p),
	}
	if !p.Made.IsZero() {
		v.Made = p.Made.Format("2 January 2006")
	}
	for _, n := range p.Notes[:min(len(p.Notes), mostNotes)] {
		v.Notes = append(v.Notes, plain.Text(n, longestNote))
	}
	for _, pic := range []struct {
		*Picture
		what string
	}{{p.Good, "This is good"}, {p.Work, "This is what to work on"}} {
		if pic.Picture == nil {
			continue
		}
		one, err := sheet.Show(pic.JPEG, pic.what+": "+day(pic.Day), pic.Drawn)
		if err != nil {
			return fmt.Errorf("write page for a family: %w", err)
		}
		v.Pictures = append(v.Pictures, one)
	}
	if err := sheet.Write(w, files, v); err != nil {
		return fmt.Errorf("write page for a family: %w", err)
	}
	return nil
}

// day is "14 March".
func day(d club.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("2 January")
}

// period is the days of training that the page speaks of.
func period(p *Page) string {
	first, last := p.Sheet.All.First, p.Sheet.All.Last
	if first == "" {
		first, last = p.From, p.To
	}
	long := func(d club.Date) string {
		t, err := time.Parse(time.DateOnly, string(d))
		if err != nil {
			return string(d)
		}
		return t.Format("2 January 2006")
	}
	switch {
	case first == last || last == "":
		return long(first)
	case first == "":
		return long(last)
	case len(first) > 4 && len(last) > 4 && first[:4] == last[:4]:
		return day(first) + " to " + long(last)
	}
	return long(first) + " to " + long(last)
}
