package report

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the size of stills
	"math"

	"strokeledger/internal/club"
	"strokeledger/internal/report/plain"
)

// Drawn is a coach's sign as lines over a picture of Width x Height pixels.
type Drawn struct {
	Width, Height int
	Circle        bool
	X, Y, R       string // of a circle
	Path          string // of an arrow: its shaft and the two sides of its head
	Thick, Rim    string // of the line, and of the dark line below it
}

// Drawn is nil where nothing is drawn on the still.
func (s Still) Drawn() (*Drawn, error) {
	if s.Sign == nil {
		return nil, nil
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(s.JPEG))
	if err != nil {
		return nil, fmt.Errorf("read the size of the picture %q: %w", plain.Text(s.Caption, 60), err)
	}
	w, h := float64(c.Width), float64(c.Height)
	x1, y1, x2, y2 := s.Sign.X1*w, s.Sign.Y1*h, s.Sign.X2*w, s.Sign.Y2*h
	thick := max(2, min(w, h)/70)
	d := &Drawn{Width: c.Width, Height: c.Height, Thick: number(thick), Rim: number(thick * 1.9)}
	if s.Sign.Kind == club.Circle {
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
