package picture

import (
	"fmt"
	"image"
	"math"
	"strings"
	"unicode/utf8"

	"strokeledger/internal/club"
)

// DrawingKind is what a drawing is.
type DrawingKind string

// Kinds of drawings, with their places.
const (
	Line   DrawingKind = "line"   // between two
	Arrow  DrawingKind = "arrow"  // from the first to the second
	Circle DrawingKind = "circle" // round the first through the second
	Angle  DrawingKind = "angle"  // at the first, between the lines to the second and the third
	Free   DrawingKind = "free"   // through all of them, as a hand drew it
	Text   DrawingKind = "text"   // its middle at the only one
)

// Drawing is drawn by a coach on the pictures First to Last of a clip.
type Drawing struct {
	ID         club.ID     `json:"id"`
	ClipID     club.ID     `json:"clip_id"`
	CoachID    club.ID     `json:"coach_id"`          // empty: not known
	MarkID     club.ID     `json:"mark_id,omitempty"` // goes with this mark; empty, or gone: on its own
	Frame      int         `json:"frame"`             // that it was drawn on
	Ticks      int64       `json:"ticks"`
	First      int         `json:"first"` // frame
	Last       int         `json:"last"`  // frame
	FirstTicks int64       `json:"first_ticks"`
	LastTicks  int64       `json:"last_ticks"`
	Kind       DrawingKind `json:"kind"`
	Places     []Point     `json:"places"` // in the picture as its file has it
	Text       string      `json:"text,omitempty"`
}

// Shows reports whether the drawing is shown on a frame.
func (d Drawing) Shows(frame int) bool { return d.First <= frame && frame <= d.Last }

// Alone reports whether the drawing is shown on one frame alone. A picture that moves would
// pass it in a flash, so it stands still there for [Stand].
func (d Drawing) Alone() bool { return d.First == d.Last }

// Stand is how long a picture that moves stands still on a frame that is to be looked at,
// seconds; frontend/src/review/standing.ts has the same.
const Stand = 0.8

// Moved is the drawing with each of its places somewhere else.
func (d Drawing) Moved(to func(Point) Point) Drawing {
	places := make([]Point, len(d.Places))
	for i, p := range d.Places {
		places[i] = to(p)
	}
	d.Places = places
	return d
}

// Degrees is an angle in a picture of so many pixels, 0 to 180, and 0 for another drawing.
func (d Drawing) Degrees(width, height float64) float64 {
	if d.Kind != Angle || len(d.Places) != 3 {
		return 0
	}
	p := d.in(width, height)
	return degrees(p[0], p[1], p[2])
}

// in are the places in a picture of so many pixels.
func (d Drawing) in(width, height float64) []Point {
	places := make([]Point, len(d.Places))
	for i, p := range d.Places {
		places[i] = Point{p.X * width, p.Y * height}
	}
	return places
}

// degrees is the angle between two lines from a place, 0 to 180, in the plane of the
// picture: what points towards the camera looks shorter, and its angle is another one. Its
// arctangent keeps all digits of flat and straight angles, where an arccosine does not
// (Kahan 2006, How Futile are Mindless Assessments of Roundoff in Floating-Point
// Computation?, section 12).
func degrees(at, a, b Point) float64 {
	ax, ay, bx, by := a.X-at.X, a.Y-at.Y, b.X-at.X, b.Y-at.Y
	return math.Atan2(math.Abs(ax*by-ay*bx), ax*bx+ay*by) * 180 / math.Pi
}

// LongestText is how many characters a text on a picture has at most.
const LongestText = 120

// mostPlaces is how many places of a hand's way are kept at most.
const mostPlaces = 2000

// OfSign is the sign that was drawn on a mark's picture, as a drawing on that frame; none
// for none.
func OfSign(m club.Mark) []Drawing {
	s := m.OwnSign()
	if s == nil {
		return nil
	}
	d := Drawing{ID: m.ID, ClipID: m.ClipID, CoachID: m.CoachID, MarkID: m.ID, Frame: m.Frame, First: m.Frame, Last: m.Frame,
		Ticks: m.Ticks, FirstTicks: m.Ticks, LastTicks: m.Ticks, Kind: Arrow, Places: []Point{{s.X1, s.Y1}, {s.X2, s.Y2}}}
	if s.Kind == club.Circle {
		d.Kind = Circle
	}
	return []Drawing{d}
}

// Told are some drawings, without the texts, in which anybody may be named, unless they are
// asked for.
func Told(drawings []Drawing, texts bool) (all []Drawing) {
	for _, d := range drawings {
		if texts || d.Kind != Text {
			all = append(all, d)
		}
	}
	return all
}

// Within are those of some drawings on a picture of a size that have a place in a part of
// it, in parts of that; an empty part is all of it.
func Within(drawings []Drawing, size image.Point, part image.Rectangle) (all []Drawing) {
	if part.Empty() {
		return drawings
	}
	for _, d := range drawings {
		in := false
		moved := d.Moved(func(p Point) Point {
			p.X = (p.X*float64(size.X) - float64(part.Min.X)) / float64(part.Dx())
			p.Y = (p.Y*float64(size.Y) - float64(part.Min.Y)) / float64(part.Dy())
			in = in || p.X >= 0 && p.X <= 1 && p.Y >= 0 && p.Y <= 1
			return p
		})
		if in {
			all = append(all, moved)
		}
	}
	return all
}

// InWords says what it is, in a picture of so many pixels: "an arrow", "an angle of 37° in the picture".
func (d Drawing) InWords(width, height float64) string {
	switch d.Kind {
	case Angle:
		return "an angle of " + d.Outline(width, height).Label
	case Arrow:
		return "an arrow"
	case Free:
		return "a line by hand"
	case Text:
		return "“" + d.Text + "”"
	}
	return "a " + string(d.Kind)
}

// Check returns a *club.Problem where the drawing breaks a rule.
func (d Drawing) Check() error {
	least, most := 2, 2
	switch d.Kind {
	case Line, Arrow, Circle:
	case Angle:
		least, most = 3, 3
	case Free:
		most = mostPlaces
	case Text:
		least, most = 1, 1
	default:
		return problem("kind", "A drawing is a line, an arrow, a circle, an angle, free or a text.")
	}
	if n := len(d.Places); n < least || n > most {
		return problem("places", fmt.Sprintf("The drawing has %d places, which makes no %s: draw it again.", n, d.Kind))
	}
	for _, p := range d.Places {
		if !(p.X >= 0 && p.X <= 1 && p.Y >= 0 && p.Y <= 1) {
			return problem("places", "A drawing has to begin and end inside the picture: draw it again.")
		}
	}
	if d.First < 0 || d.Frame < d.First || d.Last < d.Frame {
		return problem("first", "A drawing is shown from a frame up to its own at the latest, and until its own or a later one: choose the frames again.")
	}
	if (d.Kind == Text) != (strings.TrimSpace(d.Text) != "") {
		return problem("text", "A text on the picture needs some words, and no other drawing has any.")
	}
	if utf8.RuneCountInString(d.Text) > LongestText || strings.ContainsAny(d.Text, "\r\n") {
		return problem("text", fmt.Sprintf("A text on the picture is one line of at most %d characters: say it more briefly.", LongestText))
	}
	return nil
}
