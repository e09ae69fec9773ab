// Package wall writes the page that hangs on the wall and trains a new coach: what the team
// means by each fault, with pictures. It is pure.
package wall

import (
	"embed"
	"fmt"
	"io"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/report/sheet"
)

//go:embed page.gohtml page.css
var files embed.FS

// Page is what goes onto the page. All texts are data.
type Page struct {
	Faults []Fault // in the order in which they are shown
	Made   time.Time
}

// Fault is what the team means by one fault.
type Fault struct {
	Code, Label string
	Phase       club.Phase
	Cue         string
	Counts, Not string // what counts and what does not; both empty: not defined yet
	Is, IsNot   []Picture
}

// Picture shows what a fault is, or what it is not.
type Picture struct {
	JPEG  []byte
	Drawn []picture.Drawing // over it, their places as it is shown
}

// The lengths at which texts are cut, in characters as a reader sees them.
const longestText = 2000

type view struct {
	Faults   []shown
	Made     string
	Pictures bool
}

type shown struct {
	Code, Label, Phase, Cue, Counts, Not string
	Is, IsNot                            []sheet.Still
}

// Write writes the page as one HTML file that refers to nothing outside itself, runs no
// script and prints on A4. Pictures are JPEG.
func Write(w io.Writer, p Page) error {
	v := view{}
	if !p.Made.IsZero() {
		v.Made = p.Made.Format("2 January 2006")
	}
	for _, f := range p.Faults {
		s := shown{Code: plain.Text(f.Code, club.MaxName), Label: plain.Text(f.Label, club.MaxName), Phase: string(f.Phase),
			Cue: plain.Text(f.Cue, longestText), Counts: plain.Text(f.Counts, longestText), Not: plain.Text(f.Not, longestText)}
		for _, side := range []struct {
			to   *[]sheet.Still
			from []Picture
			says string
		}{{&s.Is, f.Is, "A picture of what it is"}, {&s.IsNot, f.IsNot, "A picture of what it is not"}} {
			for _, pic := range side.from {
				one, err := sheet.Show(pic.JPEG, side.says, pic.Drawn)
				if err != nil {
					return fmt.Errorf("write the wall page: %w", err)
				}
				*side.to, v.Pictures = append(*side.to, one), true
			}
		}
		v.Faults = append(v.Faults, s)
	}
	if err := sheet.Write(w, files, v); err != nil {
		return fmt.Errorf("write the wall page: %w", err)
	}
	return nil
}
