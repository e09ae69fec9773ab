package table

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Joint is a point of a body in the upright plane that stands on one spot, square to
// the level direction in which the camera sees that spot. How far a joint stands out of
// this plane, one picture does not tell: every error here leaves it out.
type Joint struct {
	foot *Spot
	at   [2]float64 // to the right as the camera sees it from the spot, and above the floor, metres
	by   [2][causes]float64
}

// causes is how many errors move a joint: those of the camera, of the table's height,
// of where the foot was pointed at, and of where the joint itself was.
const causes = free + 1 + 2 + 2

// Upright is the joint that shows at p, where p is off by the standard deviation sd in
// each direction, pixels, 0 for 2. It refuses with [NotOnFloor] where p shows no place
// of the plane, and with [TooVague].
func (s *Spot) Upright(p Point, sd float64) (Joint, error) {
	if s.camera == nil {
		return Joint{}, TooVague
	}
	m := s.camera.model
	sd, ok := deviation(sd, m.width)
	if !ok || !(Clicks{Width: m.width, Height: m.height}).within(p, .1) {
		return Joint{}, NotOnFloor
	}
	at, ok := s.stands(&m, s.height, s.shown, p)
	if !ok {
		return Joint{}, NotOnFloor
	}
	j := Joint{foot: s, at: at}
	px := tiny * m.width
	for i := range causes {
		var both [2][2]float64
		over := 2 * tiny
		for k, by := range [2]float64{1, -1} {
			moved, height, foot, own := m, s.height, s.shown, p
			switch {
			case i < free:
				var d [free]float64
				d[i] = by * tiny
				moved = m.moved(d)
			case i == free: // a higher table is a lower floor
				height -= by * tiny
			case i == free+1:
				foot.X, over = foot.X+by*px, 2*px/s.sd
			case i == free+2:
				foot.Y, over = foot.Y+by*px, 2*px/s.sd
			case i == free+3:
				own.X, over = own.X+by*px, 2*px/sd
			default:
				own.Y, over = own.Y+by*px, 2*px/sd
			}
			a, seen := s.stands(&moved, height, foot, own)
			if i == free {
				a[1] += by * tiny // heights are above the floor
			}
			both[k], ok = a, ok && seen
		}
		j.by[0][i], j.by[1][i] = (both[0][0]-both[1][0])/over, (both[0][1]-both[1][1])/over
	}
	if !ok {
		return Joint{}, TooVague
	}
	return j, nil
}

// stands is where the plane through the foot shows p: to the right of the foot and
// above the level z = 0.
func (s *Spot) stands(m *model, z float64, foot, p Point) ([2]float64, bool) {
	f, okFoot := m.level(foot, z)
	r, ok := m.ray(p)
	dx, dy := f[0]-m.at[0], f[1]-m.at[1]
	away := math.Hypot(dx, dy)
	dx, dy = dx/away, dy/away
	t := away / (r[0]*dx + r[1]*dy)
	up := m.at[2] + t*r[2]
	right := t * (r[0]*dy - r[1]*dx)
	// In this order a number that is none fails as well.
	ok = ok && okFoot && t > 0 && math.Abs(up) < highest && math.Abs(right) < highest
	return [2]float64{right, up}, ok
}

// The choices of how much is believed of a body.
const (
	highest    = 5.  // that a joint may be from the foot, metres
	vagueAngle = 20. // half width beyond which an angle is no help to a coach, degrees
)

// Above is how high above the floor the joint is in the plane through the foot, and the
// half width, metres. It refuses with [TooVague].
func (j Joint) Above() (height, half float64, err error) {
	if j.foot == nil {
		return 0, 0, TooVague
	}
	return told(j.at[1], j.variance(j.by[1], j.by[1][free+3:]))
}

// Higher is how much higher j is than o, a joint over the same foot, and the half width,
// metres. It refuses with [TooVague].
func (j Joint) Higher(o Joint) (height, half float64, err error) {
	if j.foot == nil || j.foot != o.foot {
		return 0, 0, TooVague
	}
	var common [causes]float64
	for i := range free + 3 {
		common[i] = j.by[1][i] - o.by[1][i]
	}
	return told(j.at[1]-o.at[1], j.variance(common, j.by[1][free+3:], o.by[1][free+3:]))
}

// Angle is the one at b between the ways to a and to c, all over one foot, 0 to 180
// degrees, and its half width. It refuses with [TooVague].
func Angle(a, b, c Joint) (degrees, half float64, err error) {
	if a.foot == nil || a.foot != b.foot || b.foot != c.foot {
		return 0, 0, TooVague
	}
	ux, uy, vx, vy := a.at[0]-b.at[0], a.at[1]-b.at[1], c.at[0]-b.at[0], c.at[1]-b.at[1]
	uu, vv := ux*ux+uy*uy, vx*vx+vy*vy
	signed := math.Atan2(ux*vy-uy*vx, ux*vx+uy*vy)
	// How the signed angle turns with each of the three.
	byA, byC := [2]float64{uy / uu, -ux / uu}, [2]float64{-vy / vv, vx / vv}
	byB := [2]float64{-byA[0] - byC[0], -byA[1] - byC[1]}
	var common [causes]float64
	var own [3][2]float64
	for k, e := range []struct {
		j  Joint
		by [2]float64
	}{{a, byA}, {b, byB}, {c, byC}} {
		for i := range causes {
			v := e.by[0]*e.j.by[0][i] + e.by[1]*e.j.by[1][i]
			if i < free+3 {
				common[i] += v
			} else {
				own[k][i-free-3] = v
			}
		}
	}
	half = within95 * math.Sqrt(b.variance(common, own[0][:], own[1][:], own[2][:])) * 180 / math.Pi
	if !(half <= vagueAngle) {
		return 0, 0, TooVague
	}
	return math.Abs(signed) * 180 / math.Pi, half, nil
}

// variance is that of a number which the common causes move by so much, and the
// pointing at single joints, in standard deviations of it.
func (j Joint) variance(common [causes]float64, own ...[]float64) float64 {
	v := mat.NewVecDense(free, common[:free])
	out := mat.Inner(v, j.foot.camera.cov, v)
	height := common[free] * heightSD
	out += height*height + common[free+1]*common[free+1] + common[free+2]*common[free+2]
	for _, o := range own {
		out += o[0]*o[0] + o[1]*o[1]
	}
	return out
}
