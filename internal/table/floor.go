package table

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Camera is what [Fit] found.
type Camera struct {
	model  model
	prior  prior
	cov    *mat.SymDense // of a step of the model
	missed float64
}

// Focal is the focal length, pixels.
func (c *Camera) Focal() float64 { return c.model.focal() }

// Position is where the camera stands in the room, metres.
func (c *Camera) Position() [3]float64 { return c.model.at }

// BeyondNet reports whether the camera stands beyond the net as the near player sees it, who
// is the one farther from it then. From the side neither is: it takes 30 cm.
func (c *Camera) BeyondNet() bool {
	const clearly = .3
	return c.model.at[0] > length/2+clearly
}

// Missed is how far the clicks lie from where the fitted table shows, the root of the
// mean square, pixels.
func (c *Camera) Missed() float64 { return c.missed }

// See is where a place in the room shows, and whether it lies in front of the camera.
func (c *Camera) See(x, y, z float64) (Point, bool) { return c.model.see([3]float64{x, y, z}) }

// Spot is a point of the floor as one camera shows it.
type Spot struct {
	camera *Camera
	at     [2]float64
	height float64 // above the floor, metres
	shown  Point   // where it was pointed at, and how far off
	sd     float64
	// How it moves with each number of the camera and with the table's height.
	byCamera [2][free]float64
	byHeight [2]float64
	// What pointing at it adds to its covariance.
	pointing [2][2]float64
}

// Floor is the point of the floor that shows at p, where p itself is off by the
// standard deviation sd in each direction, pixels, 0 for 2. It refuses with
// [NotOnFloor] or [TooVague].
//
// Errors are carried along to the first order: those of the camera, of p and of the
// table's height (Criminisi A, Reid I, Zisserman A (1997), A plane measuring device,
// BMVC: those of the calibration and of the measured point both have to enter).
func (c *Camera) Floor(p Point, sd float64) (Spot, error) { return c.Level(p, sd, 0) }

// Level is the point at the height z above the floor, metres, that shows at p, as
// [Camera.Floor] is that of the floor: for a part of a shoe whose height is known.
func (c *Camera) Level(p Point, sd, z float64) (Spot, error) {
	m := &c.model
	sd, ok := deviation(sd, m.width)
	if !ok || !(Clicks{Width: m.width, Height: m.height}).within(p, .1) {
		return Spot{}, NotOnFloor
	}
	if _, ok := m.ray(p); !ok {
		return Spot{}, TooVague // the lens bends so much here that it is not known how much
	}
	at, ok := m.level(p, z)
	if !ok {
		return Spot{}, NotOnFloor
	}
	s := Spot{camera: c, at: at, height: z, shown: p, sd: sd}
	// between is how the spot differs between two small steps to either side.
	between := func(a, b [2]float64, okA, okB bool, over float64) [2]float64 {
		ok = ok && okA && okB
		return [2]float64{(a[0] - b[0]) / over, (a[1] - b[1]) / over}
	}
	for i := range free {
		var d [free]float64
		d[i] = tiny
		up := m.moved(d)
		d[i] = -tiny
		down := m.moved(d)
		a, okA := up.level(p, z)
		b, okB := down.level(p, z)
		by := between(a, b, okA, okB, 2*tiny)
		s.byCamera[0][i], s.byCamera[1][i] = by[0], by[1]
	}
	a, okA := m.level(p, z+tiny)
	b, okB := m.level(p, z-tiny)
	// The room is measured from the table, so a higher table is a lower floor.
	s.byHeight = between(b, a, okB, okA, 2*tiny)
	for _, e := range [2]Point{{tiny * m.width, 0}, {0, tiny * m.width}} {
		a, okA := m.level(Point{p.X + e.X, p.Y + e.Y}, z)
		b, okB := m.level(Point{p.X - e.X, p.Y - e.Y}, z)
		by := between(a, b, okA, okB, 2*tiny*m.width/sd)
		for i := range by {
			for j := range by {
				s.pointing[i][j] += by[i] * by[j]
			}
		}
	}
	if !ok {
		return Spot{}, TooVague
	}
	return s, nil
}

// Line is a line of the table from which a floor point's distance is told. Distances
// are metres, positive away from the table: behind the near end line, or outside a side
// line.
type Line int

// The near end line and the side lines as the near player sees them.
const (
	EndLine Line = iota
	RightSideLine
	LeftSideLine
)

// axis is the axis along which distances from the line lie, their sign on it, and
// where the line is.
func (l Line) axis() (axis int, sign, at float64) {
	switch l {
	case RightSideLine:
		return 1, -1, 0
	case LeftSideLine:
		return 1, 1, width
	default:
		return 0, -1, 0
	}
}

// From is the spot's distance from the line and the half width within which it lies
// with 95 % probability, metres. It refuses with [TooVague].
func (s Spot) From(l Line) (distance, half float64, err error) {
	axis, sign, at := l.axis()
	return told(sign*(s.at[axis]-at), s.pointing[axis][axis]+s.shared(axis, Spot{}))
}

// Farther is how much farther from the line s is than o, and the half width, metres.
// Most of the error of the camera and of the table's height is common to two spots of one
// camera and drops out; those of two cameras count in full. It refuses with [TooVague].
func (s Spot) Farther(o Spot, l Line) (distance, half float64, err error) {
	axis, sign, _ := l.axis()
	variance := s.pointing[axis][axis] + o.pointing[axis][axis]
	if s.camera == o.camera {
		variance += s.shared(axis, o)
	} else {
		variance += s.shared(axis, Spot{}) + o.shared(axis, Spot{})
	}
	return told(sign*(s.at[axis]-o.at[axis]), variance)
}

// shared is the variance by the camera and the table's height of the difference of
// two spots of one camera.
func (s Spot) shared(axis int, o Spot) float64 {
	if s.camera == nil { // no camera made this spot
		return math.Inf(1)
	}
	var by [free]float64
	for i := range by {
		by[i] = s.byCamera[axis][i] - o.byCamera[axis][i]
	}
	v := mat.NewVecDense(free, by[:])
	up := (s.byHeight[axis] - o.byHeight[axis]) * heightSD
	return mat.Inner(v, s.camera.cov, v) + up*up
}

// told is a distance with its half width where that is small enough.
func told(distance, variance float64) (float64, float64, error) {
	half := within95 * math.Sqrt(variance)
	if !(half <= vague) {
		return 0, 0, TooVague
	}
	return distance, half, nil
}
