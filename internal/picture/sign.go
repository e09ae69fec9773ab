package picture

import (
	"image"

	"strokeledger/internal/club"
)

// Sign is a sign of the file's picture in the picture as it is shown; nil of nil.
func (a Adjustment) Sign(s *club.Sign) *club.Sign {
	if s == nil {
		return nil
	}
	from, to := a.Shown(Point{X: s.X1, Y: s.Y1}), a.Shown(Point{X: s.X2, Y: s.Y2})
	return &club.Sign{Kind: s.Kind, X1: from.X, Y1: from.Y, X2: to.X, Y2: to.Y}
}

// SignWithin is a sign on a part of the picture of a size that it was drawn on; nil where
// its point lies outside the part, and of nil.
func SignWithin(s *club.Sign, size image.Point, part image.Rectangle) *club.Sign {
	if s == nil {
		return nil
	}
	x := func(v float64) float64 { return (v*float64(size.X) - float64(part.Min.X)) / float64(part.Dx()) }
	y := func(v float64) float64 { return (v*float64(size.Y) - float64(part.Min.Y)) / float64(part.Dy()) }
	moved := *s
	moved.X1, moved.Y1, moved.X2, moved.Y2 = x(s.X1), y(s.Y1), x(s.X2), y(s.Y2)
	px, py := moved.X2, moved.Y2
	if s.Kind == club.Circle { // its middle
		px, py = moved.X1, moved.Y1
	}
	if px < 0 || px > 1 || py < 0 || py > 1 {
		return nil
	}
	return &moved
}
