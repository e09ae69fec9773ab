// Package drawn makes lines and texts of what a coach has drawn on a picture, for pages
// that show it. It is pure.
package drawn

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the size of stills
	"strings"

	"strokeledger/internal/picture"
	"strokeledger/internal/report/plain"
)

// Layer lies over a picture of Width x Height pixels.
type Layer struct {
	Width, Height int
	Lines         []string // paths
	Texts         []Text
	Thick, Rim    string // of the lines, and of the dark lines below them
	Letter, Edge  string // size of the letters, and how thick their dark edge is
}

// Text is written with its middle at X, its letters standing round the height Y.
type Text struct{ X, Y, Text string }

// On draws drawings, whose places are parts of it, over a picture, which is JPEG; it is nil
// where there are none.
func On(jpeg []byte, drawings []picture.Drawing) (*Layer, error) {
	if len(drawings) == 0 {
		return nil, nil
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(jpeg))
	if err != nil {
		return nil, fmt.Errorf("read the size of a picture: %w", err)
	}
	w, h := float64(c.Width), float64(c.Height)
	thick, letter := picture.Thickness(w, h), picture.LetterSize(w, h)
	l := &Layer{Width: c.Width, Height: c.Height, Thick: number(thick), Rim: number(thick * (1 + 2*picture.RimPart)),
		Letter: number(letter), Edge: number(letter / 4)}
	for _, d := range drawings {
		o := d.Outline(w, h)
		for _, line := range o.Lines {
			l.Lines = append(l.Lines, path(line))
		}
		if o.Label != "" {
			l.Texts = append(l.Texts, Text{number(o.At.X), number(o.At.Y + 0.36*letter), plain.Text(o.Label, picture.LongestText)})
		}
	}
	return l, nil
}

func path(line []picture.Point) string {
	var b strings.Builder
	for i, p := range line {
		b.WriteString([]string{"M", " L"}[min(i, 1)])
		b.WriteString(number(p.X) + " " + number(p.Y))
	}
	return b.String()
}

// number writes a length for a drawing.
func number(v float64) string { return fmt.Sprintf("%.1f", v) }
