// Package sighting is where a clip shows the table, as a coach has seen it and as the lines
// of the picture show it.
package sighting

import "strokeledger/internal/club"

// Ruler says where a clip shows the table, whose size is known: from that package
// table works out the camera, and from the camera distances on the floor. A clip has
// one at most, and it has the clip's ID.
type Ruler struct {
	ID      club.ID `json:"id"`
	ClipID  club.ID `json:"clip_id"`
	CoachID club.ID `json:"coach_id"` // who laid it; empty: not known
	Frame   int     `json:"frame"`    // the picture that it was laid on
	Ticks   int64   `json:"ticks"`
	Width   int     `json:"width"`          // of that picture, display pixels, in which all places are told
	Height  int     `json:"height"`         // likewise
	Wide    bool    `json:"wide,omitempty"` // the lens is a wide-angle one
	// Clicked is where the coach saw the table.
	Clicked Outline `json:"clicked"`
	// Snapped is where the lines of the picture show it; nil: they were not looked at, or
	// do not bear out what was clicked. Where it is there, it is what is measured by.
	Snapped *Outline `json:"snapped,omitempty"`
	// Support is how much of the table's lines the picture shows where the camera says
	// that they are, 0 to 1; Good says that they bear the ruler out.
	Support float64 `json:"support"`
	Good    bool    `json:"good"`
}

// Outline is where a picture shows the table.
type Outline struct {
	Corners [4]Place `json:"corners"` // in order round the table, the two of the near end line first
	Tops    []Place  `json:"tops"`    // outer ends of the net's top: both, one or none, in any order
	SD      float64  `json:"sd"`      // standard deviation of each place in each direction, pixels
}

// Place is a place in a picture, pixels from its left upper corner: the centre of
// the first pixel is 0.5, 0.5.
type Place struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Measured is the outline that is measured by.
func (r Ruler) Measured() Outline {
	if r.Snapped != nil {
		return *r.Snapped
	}
	return r.Clicked
}

// Check returns a *club.Problem where the ruler breaks a rule. Whether its places fit a
// table is not asked.
func (r Ruler) Check() error {
	const largest = 100_000 // pixels of a side
	if r.ID != r.ClipID {
		return problem("id", "A ruler has the id of its clip: lay the ruler again.")
	}
	if r.Width < 1 || r.Height < 1 || r.Width > largest || r.Height > largest {
		return problem("", "The size of the picture that the ruler was laid on makes no sense: lay the ruler again.")
	}
	if !(r.Support >= 0 && r.Support <= 1) {
		return problem("support", "How well the ruler fits is a number from 0 to 1.")
	}
	if r.Frame < 0 {
		return problem("frame", "Frames are counted from 0: pick one inside the clip.")
	}
	if r.Snapped != nil {
		if err := r.inside(*r.Snapped); err != nil {
			return err
		}
	}
	return r.inside(r.Clicked)
}

// inside holds the places of an outline against the picture, which a corner may miss
// by its size.
func (r Ruler) inside(o Outline) error {
	if len(o.Tops) > 2 {
		return problem("tops", "A net has two posts: click the tops of these alone.")
	}
	w, h := float64(r.Width), float64(r.Height)
	if !(o.SD > 0 && o.SD <= w/4) {
		return problem("sd", "How far a click may be off is a number of pixels above 0, and at most a quarter of the picture's width.")
	}
	for _, p := range append(o.Corners[:], o.Tops...) {
		if !(p.X >= -w && p.X <= 2*w && p.Y >= -h && p.Y <= 2*h) {
			return problem("corners", "The corners and posts lie in the picture or beside it by its size at most: click them again.")
		}
	}
	return nil
}

// In is the outline in a picture of another size that shows the same.
func (o Outline) In(acrossBy, downBy float64) Outline {
	scaled := func(p Place) Place { return Place{p.X * acrossBy, p.Y * downBy} }
	out := Outline{SD: o.SD * acrossBy}
	for i, p := range o.Corners {
		out.Corners[i] = scaled(p)
	}
	for _, p := range o.Tops {
		out.Tops = append(out.Tops, scaled(p))
	}
	return out
}

func problem(field, say string) error { return &club.Problem{Field: field, Say: say} }
