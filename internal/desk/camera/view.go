package camera

import (
	"fmt"
	"math"

	"strokeledger/internal/sighting"
	"strokeledger/internal/table"
)

// View is what is shown of a ruler, in pixels of the clip's picture as it is now.
type View struct {
	Laid    bool    `json:"laid"` // there is one; the rest is empty where there is none
	Placed  Placed  `json:"placed"`
	Snapped bool    `json:"snapped"` // pulled onto the lines of the picture
	Judged  bool    `json:"judged"`  // the picture was asked how well it fits
	Support float64 `json:"support"` // how much of the table's lines it shows, 0 to 1
	Good    bool    `json:"good"`    // and they bear the ruler out
	Say     string  `json:"say"`     // how well it fits, in a sentence; empty: not asked
	Far     string  `json:"far"`     // a sentence where it measures from the end farther from the camera, else empty
	From    string  `json:"from"`    // the clip whose ruler this is, where it is offered for another

	Corners  []sighting.Place `json:"corners"`  // where the camera sees them, in the order of those that are placed
	Focal    float64          `json:"focal"`    // pixels
	Position [3]float64       `json:"position"` // of the camera, metres: see package table
	Lines    []Line           `json:"lines"`    // to draw over the picture
}

// Line is a line of the room as the camera shows it.
type Line struct {
	Kind   LineKind         `json:"kind"`
	Points []sighting.Place `json:"points"` // at least two; may lie outside the picture
	Label  string           `json:"label"`  // of its first point, or empty
}

// LineKind says what a line belongs to.
type LineKind string

// The kinds of lines.
const (
	OfTable   LineKind = "table" // the surface's edges
	OfNet     LineKind = "net"
	OfFloor   LineKind = "floor"   // the grid behind the near end line
	OfEnd     LineKind = "end"     // the floor under the near end line, from which the grid counts
	OfMeasure LineKind = "measure" // what is measured
)

// View is what is shown of it.
func (f *Fitted) View() View {
	r := f.ruler
	o := r.Measured()
	v := View{
		Laid: true, Placed: Placed{Frame: r.Frame, Corners: o.Corners[:], Tops: o.Tops, Wide: r.Wide, SD: o.SD},
		Snapped: r.Snapped != nil, Judged: f.asked, Support: r.Support, Good: r.Good,
		Corners: f.corners(), Focal: f.camera.Focal(), Position: f.camera.Position(), Lines: f.lines(),
	}
	if f.camera.BeyondNet() {
		v.Far = "It measures from the end farther from the camera: the player there is measured, not the one in front."
	}
	switch {
	case !f.asked:
	case v.Good:
		v.Say = "The lines fit well."
	case v.Snapped:
		v.Say = "The lines fit poorly: look whether they lie on the table and its net, and drag the corners where they do not."
	default:
		v.Say = "The table's lines are not seen where they should be: look at each corner, drag it where it is off, or measure by your clicks alone."
	}
	return v
}

func (f *Fitted) corners() []sighting.Place {
	var seen [4]sighting.Place
	for i, s := range table.Surface() {
		p, _ := f.camera.See(s.From[0], s.From[1], s.From[2])
		seen[i] = sighting.Place(p)
	}
	in := inOrderOf(seen, f.ruler.Measured().Corners)
	return in[:]
}

// The grid on the floor: how far apart its lines are, how far it goes behind the end
// line, and beside the table, metres.
const (
	gridStep   = .2
	gridBehind = 2.
	gridBeside = .6
)

// lines are those of the fitted table, its net and the floor behind it.
func (f *Fitted) lines() (out []Line) {
	add := func(kind LineKind, label string, s table.Segment) {
		for _, points := range f.shown(s) {
			out = append(out, Line{kind, points, label})
			label = ""
		}
	}
	across, along := table.Floor(gridStep, gridBehind, gridBeside)
	for _, s := range along {
		add(OfFloor, "", s)
	}
	for i, s := range across[1:] {
		add(OfFloor, fmt.Sprint(math.Round(float64(i+1)*gridStep*100)), s)
	}
	add(OfEnd, "0 cm", across[0])
	for _, s := range table.Surface() {
		add(OfTable, "", s)
	}
	for _, s := range table.Net() {
		add(OfNet, "", s)
	}
	return out
}

// shown are the parts of a straight line of the room that the camera sees in its
// picture or near it; a lens may bend them.
func (f *Fitted) shown(s table.Segment) (parts [][]sighting.Place) {
	const pieces = 12
	a, b := s.From, s.To
	w, h := float64(f.ruler.Width), float64(f.ruler.Height)
	var part []sighting.Place
	end := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := range pieces + 1 {
		t := float64(i) / pieces
		p, ok := f.camera.See(a[0]+t*(b[0]-a[0]), a[1]+t*(b[1]-a[1]), a[2]+t*(b[2]-a[2]))
		if !ok || p.X < -w || p.X > 2*w || p.Y < -h || p.Y > 2*h {
			end()
			continue
		}
		part = append(part, sighting.Place{X: math.Round(p.X*100) / 100, Y: math.Round(p.Y*100) / 100})
	}
	end()
	return parts
}
