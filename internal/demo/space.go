package demo

import "math"

// Vec is a point or a direction in the hall, metres. The origin lies on the
// floor under one corner of the table; x runs along the 2.74 m side away from
// the near end line, y along the near end line, z up.
type Vec struct{ X, Y, Z float64 }

func (a Vec) Add(b Vec) Vec           { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec) Sub(b Vec) Vec           { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec) Times(k float64) Vec     { return Vec{a.X * k, a.Y * k, a.Z * k} }
func (a Vec) Dot(b Vec) float64       { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec) Length() float64         { return math.Sqrt(a.Dot(a)) }
func (a Vec) To(b Vec, t float64) Vec { return a.Add(b.Sub(a).Times(t)) }
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Unit is the direction of a; the zero Vec stays zero.
func (a Vec) Unit() Vec {
	if n := a.Length(); n > 0 {
		return a.Times(1 / n)
	}
	return a
}

func (a Vec) array() [3]float64 { return [3]float64{round(a.X, 4), round(a.Y, 4), round(a.Z, 4)} }

// Sizes of the table, the net and the ball, metres. Source: Laws of Table Tennis
// 2.1.1 to 2.3.1.
const (
	TableLength = 2.74
	TableWidth  = 1.525
	TableHeight = 0.76
	NetHeight   = 0.1525 // above the surface, over the whole length
	NetOver     = 0.1525 // how far the posts stand outside the side lines
	NetX        = TableLength / 2
	LineWidth   = 0.02
	CentreLine  = 0.003
	BallRadius  = 0.02
)

// Corners are the outer corners of the playing surface in the order near right,
// far right, far left, near left as the near player sees them.
func Corners() [4]Vec {
	return [4]Vec{{0, 0, TableHeight}, {TableLength, 0, TableHeight}, {TableLength, TableWidth, TableHeight}, {0, TableWidth, TableHeight}}
}

// Camera is a pinhole camera with one term of radial distortion.
type Camera struct {
	At    Vec     // the pinhole
	Right Vec     // unit, of the picture's rows
	Down  Vec     // unit, of the picture's columns
	Ahead Vec     // unit, the optical axis
	Focal float64 // pixels
	CX    float64 // principal point, pixels from the outer edge of the first column
	CY    float64 // and of the first row
	K1    float64 // of the lens: a point at r focal lengths from the centre is seen at r(1 + K1 r²); negative in wide lenses
}

// newCamera looks from a point at another, its rows level.
func newCamera(at, look Vec, focal float64, width, height int) Camera {
	ahead := look.Sub(at).Unit()
	right := ahead.Cross(Vec{0, 0, 1}).Unit()
	return Camera{At: at, Right: right, Down: ahead.Cross(right), Ahead: ahead, Focal: focal,
		CX: float64(width) / 2, CY: float64(height) / 2}
}

// Project gives the picture coordinates of a point, pixels with the centre of
// the first pixel at 0.5, 0.5, and how far it lies in front of the camera. A
// point that is not in front has no picture: its depth is not positive.
func (c Camera) Project(p Vec) (x, y, depth float64) {
	d := p.Sub(c.At)
	depth = d.Dot(c.Ahead)
	x, y = d.Dot(c.Right)/depth, d.Dot(c.Down)/depth
	bent := c.Focal * (1 + c.K1*(x*x+y*y))
	return c.CX + bent*x, c.CY + bent*y, depth
}

// Ray is the direction from the camera through a point of the picture.
func (c Camera) Ray(x, y float64) Vec {
	x, y = (x-c.CX)/c.Focal, (y-c.CY)/c.Focal
	if c.K1 != 0 {
		// Newton's steps for r(1 + K1 r²) = seen.
		seen := math.Hypot(x, y)
		r := seen
		for range 6 {
			r -= (r*(1+c.K1*r*r) - seen) / (1 + 3*c.K1*r*r)
		}
		x, y = x*r/max(seen, 1e-12), y*r/max(seen, 1e-12)
	}
	return c.Ahead.Add(c.Right.Times(x)).Add(c.Down.Times(y))
}

// OnLevel is the point at height z that is seen at x, y of the picture.
func (c Camera) OnLevel(x, y, z float64) Vec {
	ray := c.Ray(x, y)
	return c.At.Add(ray.Times((z - c.At.Z) / ray.Z))
}

func round(v float64, digits int) float64 {
	k := math.Pow10(digits)
	return math.Round(v*k) / k
}
