package demo

import (
	"math"
	"math/rand/v2"
)

// place is where the tripod stands.
type place int

const (
	fromCorner     place = iota // behind the near player's right shoulder
	fromLeftCorner              // behind the left one
	fromSide
	fromLeftSide
	fromBehind
	fromAbove // on a gallery
	fromLow   // not much above the table
)

// view is how a clip is filmed, with what makes it hard to measure in.
type view struct {
	place   place
	wide    bool // a wide lens that bends lines
	knocked bool // somebody knocks the tripod in the middle of the clip
	sunk    bool // the table stands too low
	passer  bool // somebody walks by on the table's other side
	crosses bool // somebody walks by on the camera's side
	edge    bool // aimed so that the near player leaves the picture
	coarse  bool // a noisy picture, packed hard
}

// sunkBy is how much too low a table stands that was set up wrong, metres.
const sunkBy = 0.01

// A knock turns the camera within knockTime seconds and leaves it so.
const knockTime = 0.3

// stand is one clip's camera, as it stands and after a knock.
type stand struct {
	rng *rand.Rand
	view
}

// spread is an even spread of so much to both sides.
func (v stand) spread(d float64) float64 { return (2*v.rng.Float64() - 1) * d }

// camera is the camera of a view; usual is the one behind the corner.
func (v stand) camera(usual Camera) Camera {
	if v.place == fromCorner && !v.wide && !v.edge {
		return usual
	}
	at := usual.At
	switch v.place {
	case fromLeftCorner:
		at = Vec{-2.0 + v.spread(0.3), TableWidth + 2.5 + v.spread(0.2), 1.85 + v.spread(0.1)}
	case fromSide:
		at = Vec{0.5 + v.spread(0.3), -3.5 + v.spread(0.3), 1.5 + v.spread(0.12)}
	case fromLeftSide:
		at = Vec{0.3 + v.spread(0.3), TableWidth + 2.6 + v.spread(0.15), 1.5 + v.spread(0.12)}
	case fromBehind:
		at = Vec{-4.0 + v.spread(0.25), -0.5 + v.spread(0.3), 2.5 + v.spread(0.15)}
	case fromAbove:
		at = Vec{-2.6 + v.spread(0.3), -2.3 + v.spread(0.4), 3.1 + v.spread(0.25)}
	case fromLow:
		at = Vec{-2.2 + v.spread(0.2), -2.9 + v.spread(0.25), 1.36 + v.spread(0.04)}
	}
	k1, shortest := 0.0, 0.0
	if v.wide {
		k1, shortest = -0.15+v.spread(0.03), 0.56*Width
		at = at.To(Vec{1.0, TableWidth / 2, at.Z}, 0.22) // whoever has a wide lens stands nearer
	}
	c := framed(at, scenery(v.edge), k1, shortest)
	if v.edge {
		return c
	}
	// Hands are not spirit levels.
	return c.turned(0, 0, v.spread(1.2)*math.Pi/180)
}

// scenery is what a coach wants in the picture: the table, its net, the partner, and
// the near player wherever a drill may take that one, or only half of that one.
func scenery(half bool) []Vec {
	all := []Vec{{NetX, -NetOver, TableHeight + NetHeight}, {NetX, TableWidth + NetOver, TableHeight + NetHeight},
		{3.7, 0.2, 1.75}, {3.5, 1.2, 1.75}, {3.7, 0.2, 0}}
	corners := Corners()
	all = append(all, corners[:]...)
	if half {
		return append(all, Vec{-0.55, 0.55, 0}, Vec{-0.5, 0.55, 1.6})
	}
	return append(all, Vec{-1.0, -0.25, 0}, Vec{-1.0, 1.6, 0}, Vec{-0.8, -0.2, 1.75}, Vec{-0.8, 1.6, 1.75})
}

// framed is a camera at a place that has the points in the picture with a small margin,
// its focal length not under shortest pixels.
func framed(at Vec, points []Vec, k1, shortest float64) Camera {
	look := Vec{0.9, 0.8, 0.7}
	focal := 650.0
	var c Camera
	for range 12 {
		c = newCamera(at, look, focal, Width, Height)
		c.K1 = k1
		x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for _, p := range points {
			x, y, _ := c.Project(p)
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
		ray := c.Ray((x0+x1)/2, (y0+y1)/2)
		look = at.Add(ray.Times(look.Sub(at).Length() / ray.Length()))
		focal = max(shortest, focal*min(0.95*Width/(x1-x0), 0.95*Height/(y1-y0)))
	}
	return c
}

// turned is the camera turned to its right, downward, and clockwise, radians.
func (c Camera) turned(right, down, roll float64) Camera {
	rotate := func(a, b Vec, angle float64) (Vec, Vec) {
		s, k := math.Sincos(angle)
		return a.Times(k).Add(b.Times(s)), b.Times(k).Sub(a.Times(s))
	}
	c.Ahead, c.Right = rotate(c.Ahead, c.Right, right)
	c.Ahead, c.Down = rotate(c.Ahead, c.Down, down)
	c.Right, c.Down = rotate(c.Right, c.Down, roll)
	return c
}

// knock is a turn of the camera on its tripod that begins at a time and stays.
type knock struct {
	from              float64 // seconds
	right, down, roll float64 // radians
}

// CameraAt is the camera at a time.
func (s *Scene) CameraAt(t float64) Camera {
	if s.knock == nil || t <= s.knock.from {
		return s.Camera
	}
	// It swings beyond its new place and comes back.
	k := min(1, (t-s.knock.from)/knockTime)
	part := 1 - math.Exp(-5*k)*math.Cos(7*k)*(1-k)
	return s.Camera.turned(s.knock.right*part, s.knock.down*part, s.knock.roll*part)
}

// walker is somebody who walks through the hall once, on the camera's side of the table
// or on the other.
func (s *Scene) walker(v stand, cameraSide bool) {
	n := newActor(v.rng, Look{Height: 1.74, Skin: RGB{188, 140, 108}, Hair: RGB{46, 40, 44}, Shirt: RGB{116, 122, 128}, Short: RGB{40, 52, 70}, Shoes: RGB{196, 70, 60}, Trim: RGB{70, 78, 86}, Cloth: Hoops}, false, true)
	y := TableWidth + 1.0
	if cameraSide {
		y = -1.15
	}
	if s.Camera.At.Y > TableWidth/2 {
		y = TableWidth - y
	}
	start, end := Vec{-3.4, y + v.spread(0.1), 0}, Vec{6.2, y + v.spread(0.1), 0}
	if v.rng.Float64() < 0.5 {
		start, end = end, start
	}
	from := s.Seconds(s.Frames) * (0.25 + 0.3*v.rng.Float64())
	to := from + end.Sub(start).Length()/1.3
	way := end.Sub(start)
	heading := math.Atan2(way.Y, way.X)
	n.walk(from, to, start, end, heading, heading)
	a := n.actor(from, min(to, s.Seconds(s.Frames)+1))
	a.Near, a.Passer = false, true
	s.Actors = append(s.Actors, a)
}
