// Package wall writes the page that hangs on the wall and trains a new coach: what the team
// means by each fault, with pictures. It is pure.
package wall

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"strokeledger/internal/club"
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
	Is, IsNot   [][]byte
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
	Is, IsNot                            []template.URL
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
		for to, from := range map[*[]template.URL][][]byte{&s.Is: f.Is, &s.IsNot: f.IsNot} {
			for _, jpeg := range from {
				one, err := sheet.Picture(jpeg)
				if err != nil {
					return fmt.Errorf("write the wall page: %w", err)
				}
				*to, v.Pictures = append(*to, one), true
			}
		}
		v.Faults = append(v.Faults, s)
	}
	if err := sheet.Write(w, files, v); err != nil {
		return fmt.Errorf("write the wall page: %w", err)
	}
	return nil
}
