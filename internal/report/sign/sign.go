// Package sign makes lines of what a coach has drawn on a picture, for pages that show it.
// It is pure.
package sign

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the size of stills
	"math"

	"strokeledger/internal/club"
)

// Drawn is a coach's sign as lines over a picture of Width x Height pixels.
type Drawn struct {
	Width, Height int
	Circle        bool
	X, Y, R       string // of a circle
	Path          string // of an arrow: its shaft and the two sides of its head
	Thick, Rim    string // of the line, and of the dark line below it
}

// Draw draws a sign over a picture, which is JPEG; it is nil for no sign.
func Draw(picture []byte, s *club.Sign) (*Drawn, error) {
	if s == nil {
		return nil, nil
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(picture))
	if err != nil {
		return nil, fmt.Errorf("read the size of a picture: %w", err)
	}
	w, h := float64(c.Width), float64(c.Height)
	x1, y1, x2, y2 := s.X1*w, s.Y1*h, s.X2*w, s.Y2*h
	thick := max(2, min(w, h)/70)
	d := &Drawn{Width: c.Width, Height: c.Height, Thick: number(thick), Rim: number(thick * 1.9)}
	if s.Kind == club.Circle {
		d.Circle, d.X, d.Y, d.R = true, number(x1), number(y1), number(math.Hypot(x2-x1, y2-y1))
		return d, nil
	}
	length := math.Hypot(x2-x1, y2-y1)
	head := min(5*thick, max(length, thick))
	angle := math.Atan2(y2-y1, x2-x1)
	side := func(by float64) string {
		return number(x2-head*math.Cos(angle+by)) + " " + number(y2-head*math.Sin(angle+by))
	}
	d.Path = fmt.Sprintf("M%s %s L%s %s M%s L%s %s L%s", number(x1), number(y1), number(x2), number(y2), side(0.5), number(x2), number(y2), side(-0.5))
	return d, nil
}

// number writes a length for a drawing.
func number(v float64) string { return fmt.Sprintf("%.1f", v) }
