package picture

import (
	"fmt"
	"image/color"
	"math"
	"unicode/utf8"
)

// Outline is a drawing in a picture of so many pixels, as lines through places and a text,
// all in its pixels. frontend/src/shared/outline.ts makes the same; testdata/outlines.json
// holds both to it.
type Outline struct {
	Lines [][]Point `json:"lines"`
	Label string    `json:"label"` // "" for none
	At    Point     `json:"at"`    // the middle of the label
}

// Ink is the colour of drawings: amber stands out from floors, tables and shirts, and from
// white, also in grey.
func Ink() color.RGBA { return color.RGBA{255, 193, 79, 255} }

// Rim is what lies below and beside each line, so that it is seen on any ground: black,
// seven tenths (TestColoursAreToldFromAnyGround).
func Rim() color.RGBA { return color.RGBA{0, 0, 0, 178} }

// Thickness is how thick the lines of a drawing are in a picture of that size, pixels; the
// rim on each side has RimPart of it.
func Thickness(width, height float64) float64 { return max(2, min(width, height)/120) }

// RimPart is how much of a line's thickness its rim has on each side.
const RimPart = 0.5

// LetterSize is how large the letters of a drawing are in a picture of that size, pixels.
func LetterSize(width, height float64) float64 { return max(11, min(width, height)/24) }

const (
	letterWide = 0.56 // about what a letter of the usual fonts takes of its size
	barb       = 0.45 // of an arrow's head, from its shaft, radians
	roundness  = 96   // sides of what is drawn for a circle
)

// Outline is the drawing in a picture of so many pixels, in which its places lie at parts
// of width and height.
func (d Drawing) Outline(width, height float64) Outline {
	places := d.in(width, height)
	o := Outline{Lines: [][]Point{}}
	switch {
	case d.Kind == Text && len(places) == 1:
		o.Label, o.At = d.Text, places[0]
	case len(places) < 2:
		return o
	case d.Kind == Circle:
		r := apart(places[0], places[1])
		o.Lines = [][]Point{arc(places[0], r, 0, 2*math.Pi)}
	case d.Kind == Angle:
		o = angle(places, LetterSize(width, height))
	default:
		o.Lines = [][]Point{places}
		if d.Kind == Arrow {
			o.Lines = append(o.Lines, head(places[0], places[1], 5*Thickness(width, height)))
		}
	}
	o.keepInside(width, height)
	return o
}

func apart(a, b Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// arc goes round a place from one direction by so many radians.
func arc(at Point, r, from, by float64) (line []Point) {
	sides := max(2, int(math.Ceil(math.Abs(by)/(2*math.Pi)*roundness)))
	for i := range sides + 1 {
		a := from + by*float64(i)/float64(sides)
		line = append(line, Point{at.X + r*math.Cos(a), at.Y + r*math.Sin(a)})
	}
	return line
}

// head is that of an arrow.
func head(from, to Point, size float64) []Point {
	size = min(size, apart(from, to)/2)
	way := math.Atan2(to.Y-from.Y, to.X-from.X)
	side := func(by float64) Point {
		return Point{to.X - size*math.Cos(way+by), to.Y - size*math.Sin(way+by)}
	}
	return []Point{side(barb), to, side(-barb)}
}

// angle is the two lines of an angle with an arc between them and its degrees, which it
// has once it has both.
func angle(places []Point, letter float64) (o Outline) {
	if len(places) < 3 {
		return Outline{Lines: [][]Point{places}}
	}
	at, a, b := places[0], places[1], places[2]
	o.Lines = [][]Point{{a, at, b}}
	from := math.Atan2(a.Y-at.Y, a.X-at.X)
	by := math.Remainder(math.Atan2(b.Y-at.Y, b.X-at.X)-from, 2*math.Pi)
	r := min(apart(at, a), apart(at, b)) * 0.4
	o.Lines = append(o.Lines, arc(at, r, from, by))
	o.Label = fmt.Sprintf("%.0f° in the picture", degrees(at, a, b))
	// So far out that the lines are as little covered as can be.
	out := r + 1.5*letter + halfWide(o.Label, letter)*math.Abs(math.Cos(from+by/2))
	o.At = Point{at.X + out*math.Cos(from+by/2), at.Y + out*math.Sin(from+by/2)}
	return o
}

// halfWide is about half the width of a label.
func halfWide(label string, letter float64) float64 {
	return letterWide * letter * float64(utf8.RuneCountInString(label)) / 2
}

// keepInside moves the label so that all of it is seen, where the picture is wide enough.
func (o *Outline) keepInside(width, height float64) {
	if o.Label == "" {
		return
	}
	letter := LetterSize(width, height)
	half := min(width/2, halfWide(o.Label, letter)+letter/4)
	o.At.X = min(max(o.At.X, half), width-half)
	o.At.Y = min(max(o.At.Y, letter*0.75), height-letter*0.75)
}
