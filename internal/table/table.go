// Package table measures on the floor of a picture with the regulation table as the
// ruler: from where its corners show it works out the camera, and from the camera how
// far a point of the floor lies from the table's lines, each with its error.
//
// Places in the room are in metres: x from the near end line along the side lines, y
// along the near end line from the right corner to the left one as the near player
// sees them, z up from the floor; the origin is on the floor under the near right
// corner. Places in a picture are in display pixels from its top left corner, so the
// centre of the first pixel is .5, .5.
//
// One picture says nothing of heights by itself: a point is looked up on the floor, on a
// level whose height is known, or in the upright plane through a foot. What a half width
// leaves out is which part of a foot was pointed at, and how far a joint stands out of
// that plane. Everything here
// is a value or is never changed once made, and safe for concurrent use.
package table

import "math"

// The regulation table, metres: ITTF Laws of Table Tennis 2.1.1 (length, width and
// height of the playing surface), 2.2.2 and 2.2.3 (the net: height, and how far the
// posts stand outside the side line).
const (
	length   = 2.74
	width    = 1.525
	height   = .76
	net      = .1525
	overhang = .1525
	// heightSD is how far tables stand from the height that is prescribed: common
	// practice, no source.
	heightSD = .004
)

// corners are the places of the near right, near left, far left and far right corner.
func corners() [4][3]float64 {
	return [4][3]float64{{0, 0, height}, {0, width, height}, {length, width, height}, {length, 0, height}}
}

// tops are the places of the outer ends of the net's top, the right one first.
func tops() [2][3]float64 {
	return [2][3]float64{{length / 2, -overhang, height + net}, {length / 2, width + overhang, height + net}}
}

// Point is a place in a picture, display pixels.
type Point struct{ X, Y float64 }

// Clicks are what [Fit] needs to know.
type Clicks struct {
	// Width and Height of the picture, display pixels.
	Width, Height float64
	// Corners are the outer corners of the white lines in order round the table, either
	// way, the two of the near end line first. They may lie outside the picture by up
	// to its size.
	Corners [4]Point
	// Tops are the outer ends of the net's top, in any order: both, one or none.
	Tops []Point
	// SD is the standard deviation of a click in each direction, pixels; 0 stands for 2,
	// what a click on a whole picture in a window may be off by. One that is taken too
	// small makes every half width too small.
	SD float64
	// Wide says that the lens is a wide-angle one, which bends straight lines. The
	// clicks hardly show it, so it has to be told.
	Wide bool
}

// Refusal is why there is no camera or no distance: one plain sentence.
type Refusal string

// Error is the sentence.
func (r Refusal) Error() string { return string(r) }

// The refusals of [Fit], [Camera.Floor], [Spot.From] and [Spot.Farther].
const (
	BadCorners Refusal = "Click the four corners in order round the table, the two of the near end line first; where they show almost in one line, film from higher up."
	NoTable    Refusal = "The points do not fit a table of regulation size: check that each lies on its corner or net post."
	TooLow     Refusal = "The camera is too low to see the top of the table: film from higher up."
	TooVague   Refusal = "The distance is not known to within 25 cm here: film from higher up or nearer, or click the tops of the net posts too."
	NotOnFloor Refusal = "That point is not on the floor in front of the camera: click where a foot meets the floor."
)

// The choices of how much is believed.
const (
	usualSD  = 2.   // of a click, pixels
	leastSD  = .001 // below which rounding would be taken for knowledge, pixels
	vague    = .25  // half width beyond which a distance is no help to a coach, metres
	within95 = 1.96 // standard deviations to each side of 95 % of a normal distribution
	far      = 3.   // standard deviations that some corner must lie off the line of two others
	bent     = 1.5  // and each of them: in 3,900 drawn clips with clicks off by 4 px it refuses 3, as much as far 50
	furthest = 100. // that a point of the floor may lie from the table, metres
)

// click is one point in the picture whose place in the room is known.
type click struct {
	place [3]float64
	at    Point
}

// deviation is the standard deviation to work with, and whether there is one.
func deviation(sd, size float64) (float64, bool) {
	if sd == 0 {
		sd = usualSD
	}
	return max(sd, leastSD), sd > 0 && sd <= size/4
}

// within reports whether the point lies in the picture or no farther from it than
// beyond times its size.
func (c Clicks) within(p Point, beyond float64) bool {
	return p.X >= -beyond*c.Width && p.X <= (1+beyond)*c.Width && p.Y >= -beyond*c.Height && p.Y <= (1+beyond)*c.Height
}

// ordered returns the corners from the near right one on, clockwise in the picture as
// a camera above the table sees them.
func (c Clicks) ordered() ([4]Point, error) {
	q := c.Corners
	sizes := c.Width >= 16 && c.Height >= 16 && c.Width <= 1e5 && c.Height <= 1e5
	sd, ok := deviation(c.SD, c.Width)
	if !sizes || !ok || len(c.Tops) > 2 {
		return q, BadCorners
	}
	for _, p := range append(q[:], c.Tops...) {
		if !c.within(p, 1) {
			return q, BadCorners
		}
	}
	// The picture of a rectangle is convex: each corner lies on the same side of the
	// line through its neighbours, by more than clicks are off.
	least, most, shortest, turned := math.Inf(1), 0., math.Inf(1), 0
	for i, p := range q {
		a, b := q[(i+3)%4], q[(i+1)%4]
		off := ((p.X-a.X)*(b.Y-a.Y) - (p.Y-a.Y)*(b.X-a.X)) / max(math.Hypot(b.X-a.X, b.Y-a.Y), leastSD)
		if off > 0 {
			turned++
		}
		least, most = min(least, math.Abs(off)), max(most, math.Abs(off))
		shortest = min(shortest, math.Hypot(b.X-p.X, b.Y-p.Y))
	}
	switch edge := far * sd; {
	case most < edge && shortest > edge:
		return q, TooLow
	case turned%4 != 0 || least < bent*sd:
		return q, BadCorners
	}
	if turned == 0 {
		return [4]Point{q[1], q[0], q[3], q[2]}, nil
	}
	return q, nil
}
