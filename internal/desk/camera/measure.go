package camera

import (
	"fmt"
	"math"

	"strokeledger/internal/sighting"
	"strokeledger/internal/table"
)

// Measured is what a ruler says of points of the picture.
type Measured struct {
	Spots []Spot  `json:"spots"` // one for each point
	Apart []Apart `json:"apart"` // how each but the first differs from the one before it
	Lines []Line  `json:"lines"` // along which they are measured, to draw over the picture
}

// Spot is a point of the floor. What is not known to within 25 cm is nil.
type Spot struct {
	At sighting.Place `json:"at"`
	// EndLine is how far behind the near end line it is, SideLine from the side line that
	// is nearer.
	EndLine  *Distance `json:"end_line"`
	SideLine *Distance `json:"side_line"`
	Left     bool      `json:"left"`    // that side line is the left one, as the near player sees it
	Outside  bool      `json:"outside"` // the spot is not between the side lines
	Say      string    `json:"say"`     // all of it in words, or why nothing is known
}

// Distance is a length on the floor, centimetres: it is right to within Half with 95 %
// probability.
type Distance struct {
	CM   float64 `json:"cm"`
	Half float64 `json:"half"`
}

// Apart is how one spot differs from another of the same clip. Its half widths are
// smaller than those of the spots, since most of the camera's error is common to both.
type Apart struct {
	Behind *Distance `json:"behind"` // farther from the end line
	Left   *Distance `json:"left"`   // farther to the left, as the near player sees it
	Say    string    `json:"say"`
}

// Measure looks up points at which feet meet the floor; sd is by how much each may be off
// in each direction, pixels, 0 for 2.
func (f *Fitted) Measure(points []sighting.Place, sd float64) (m Measured) {
	var before *table.Spot
	for _, p := range points {
		at, err := f.camera.Floor(table.Point(p), sd)
		spot := Spot{At: p}
		if err != nil {
			spot.Say = err.Error()
			m.add(spot, Apart{Say: err.Error()})
			before = nil
			continue
		}
		spot.tell(at)
		apart := Apart{}
		if before != nil {
			apart.tell(at, *before)
		}
		m.add(spot, apart)
		m.Lines = append(m.Lines, f.along(&spot)...)
		before = &at
	}
	return m
}

// along is the way on the floor from the end line to a spot.
func (f *Fitted) along(s *Spot) (out []Line) {
	if s.EndLine == nil || s.SideLine == nil {
		return nil
	}
	y := s.SideLine.CM / 100
	if s.Outside {
		y = -y
	}
	if s.Left {
		y = table.Surface()[0].To[1] - y
	}
	for _, points := range f.shown(table.Segment{From: [3]float64{0, y}, To: [3]float64{-s.EndLine.CM / 100, y}}) {
		out = append(out, Line{OfMeasure, points, ""})
	}
	return out
}

// add leaves out how the first differs from none.
func (m *Measured) add(s Spot, a Apart) {
	if len(m.Spots) > 0 {
		m.Apart = append(m.Apart, a)
	}
	m.Spots = append(m.Spots, s)
}

func (s *Spot) tell(at table.Spot) {
	var end, side error
	s.EndLine, end = distance(at.From(table.EndLine))
	right, failed := distance(at.From(table.RightSideLine))
	left, other := distance(at.From(table.LeftSideLine))
	s.SideLine, side = right, failed
	// Of both, the nearer one is farther outside, or less far inside.
	if left != nil && right != nil && left.CM > right.CM {
		s.SideLine, side, s.Left = left, other, true
	}
	if s.SideLine != nil {
		s.Outside = s.SideLine.CM > 0
		s.SideLine.CM = math.Abs(s.SideLine.CM)
	}
	switch {
	case end != nil && side != nil:
		s.Say = end.Error()
	case end != nil:
		s.Say = sideWords(s) + ". From the end line: not known to within 25 cm."
	case side != nil:
		s.Say = endWords(s) + ". From the side line: not known to within 25 cm."
	default:
		s.Say = endWords(s) + ", " + sideWords(s) + "."
	}
}

// distance is what package table tells in metres, nil where it refuses.
func distance(metres, half float64, err error) (*Distance, error) {
	if err != nil {
		return nil, err
	}
	return &Distance{metres * 100, half * 100}, nil
}

func endWords(s *Spot) string {
	if s.EndLine.CM < -.5 {
		return fmt.Sprintf("%s past the end line, towards the net %s", whole(-s.EndLine.CM), s.EndLine.within())
	}
	return fmt.Sprintf("%s from the end line %s", whole(s.EndLine.CM), s.EndLine.within())
}

func sideWords(s *Spot) string {
	where, side := "inside", "right"
	if s.Outside {
		where = "outside"
	}
	if s.Left {
		side = "left"
	}
	return fmt.Sprintf("%s %s the %s side line %s", whole(s.SideLine.CM), where, side, s.SideLine.within())
}

func (a *Apart) tell(at, before table.Spot) {
	var first, second error
	a.Behind, first = distance(at.Farther(before, table.EndLine))
	a.Left, second = distance(at.Farther(before, table.LeftSideLine))
	words := func(d *Distance, more, less string) string {
		by := more
		if d.CM < 0 {
			by = less
		}
		return fmt.Sprintf("%s %s %s", whole(math.Abs(d.CM)), by, d.within())
	}
	const behind, ahead, left, right = "farther from the end line", "nearer to the end line", "farther left", "farther right"
	switch {
	case first != nil && second != nil:
		a.Say = first.Error()
	case first != nil:
		a.Say = words(a.Left, left, right) + "."
	case second != nil:
		a.Say = words(a.Behind, behind, ahead) + "."
	default:
		a.Say = words(a.Behind, behind, ahead) + ", " + words(a.Left, left, right) + "."
	}
}

func whole(cm float64) string { return fmt.Sprintf("%.0f cm", max(cm, 0)) }

// within is the half width; less than a centimetre is told as one.
func (d *Distance) within() string { return fmt.Sprintf("(±%.0f)", max(1, d.Half)) }
