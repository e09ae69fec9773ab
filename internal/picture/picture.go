// Package picture is how coaches look at the pictures of clips: rotated, mirrored or
// brighter than their files have them, with what they have drawn on them, and two of them
// side by side.
package picture

import (
	"fmt"

	"strokeledger/internal/club"
)

// Adjustment is how the pictures of a clip are shown. It changes nothing of what is
// measured on them: places in pictures are told in the picture as its file has it.
type Adjustment struct {
	ID     club.ID `json:"id"` // the clip's
	ClipID club.ID `json:"clip_id"`
	// The picture is mirrored left to right first, then rotated.
	Rotation   int  `json:"rotation"` // quarter turns clockwise, 0 to 3
	Mirror     bool `json:"mirror"`
	Brightness int  `json:"brightness"` // -100 to 100; see av.Look
	Contrast   int  `json:"contrast"`   // likewise
	Gamma      int  `json:"gamma"`      // likewise
}

// Point is a place in a picture, 0 to 1 from the left upper corner across and down.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Shown is where a place of the file's picture is in the picture as it is shown.
func (a Adjustment) Shown(p Point) Point {
	if a.Mirror {
		p.X = 1 - p.X
	}
	for range a.Rotation {
		p.X, p.Y = 1-p.Y, p.X
	}
	return p
}

// Check returns a *club.Problem where the adjustment breaks a rule.
func (a Adjustment) Check() error {
	const largest = 100
	if a.ID != a.ClipID {
		return problem("id", "How a clip is shown has the id of its clip: set it again.")
	}
	if a.Rotation < 0 || a.Rotation > 3 {
		return problem("rotation", "A picture is rotated by 0 to 3 quarters.")
	}
	for _, v := range []int{a.Brightness, a.Contrast, a.Gamma} {
		if v < -largest || v > largest {
			return problem("brightness", fmt.Sprintf("Brightness, contrast and gamma are numbers from %d to %d.", -largest, largest))
		}
	}
	return nil
}

func problem(field, say string) error { return &club.Problem{Field: field, Say: say} }
