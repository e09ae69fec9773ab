package table_test

import (
	"math"
	"math/rand/v2"

	"strokeledger/internal/table"
)

type vec [3]float64

func (a vec) minus(b vec) vec    { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) dot(b vec) float64  { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) over(l float64) vec { return vec{a[0] / l, a[1] / l, a[2] / l} }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// filmed is a true camera. It has what the fit does not know of: a second term of
// the lens, pixels that are not quite square, a table that stands too high.
type filmed struct {
	width, height      float64
	at                 vec
	right, down, ahead vec
	focal, aspect      float64
	k1, k2, cx, cy     float64
	table              float64 // height of the surface, metres
}

func (c filmed) see(p vec) (table.Point, bool) {
	d := p.minus(c.at)
	z := d.dot(c.ahead)
	x, y := d.dot(c.right)/z, d.dot(c.down)/z
	r := x*x + y*y
	bent := 1 + c.k1*r + c.k2*r*r
	q := table.Point{X: c.cx + c.focal*x*bent, Y: c.cy + c.focal*c.aspect*y*bent}
	rises := 1+3*c.k1*r+5*c.k2*r*r > .2
	return q, z > .3 && rises && q.X > 4 && q.Y > 4 && q.X < c.width-4 && q.Y < c.height-4
}

// clicks are those on the corners and net posts, with errors of that size.
func (c filmed) clicks(rng *rand.Rand, sd float64, tops bool) (table.Clicks, bool) {
	out, all := table.Clicks{Width: c.width, Height: c.height, SD: sd}, true
	click := func(x, y, z float64) table.Point {
		p, ok := c.see(vec{x, y, z})
		all = all && ok
		return table.Point{X: p.X + sd*rng.NormFloat64(), Y: p.Y + sd*rng.NormFloat64()}
	}
	h := c.table
	out.Corners = [4]table.Point{click(0, 0, h), click(0, 1.525, h), click(2.74, 1.525, h), click(2.74, 0, h)}
	if tops {
		out.Tops = []table.Point{click(1.37, -.1525, h+.1525), click(1.37, 1.525+.1525, h+.1525)}
	}
	return out, all
}

// big reports whether the table covers at least that share of the picture.
func (c filmed) big(share float64) bool {
	q, _ := c.clicks(rand.New(rand.NewPCG(0, 0)), 1e-9, false)
	a, b, d, e := q.Corners[0], q.Corners[1], q.Corners[2], q.Corners[3]
	area := math.Abs((d.X-a.X)*(e.Y-b.Y)-(d.Y-a.Y)*(e.X-b.X)) / 2
	return area >= share*c.width*c.height
}

// lens is how a hall's cameras are zoomed and bent.
type lens struct {
	zoomFrom, zoomTo float64 // focal length over the longer side
	bend             func(*rand.Rand) float64
	upright          bool // a phone held upright
}

func ordinary() lens {
	return lens{zoomFrom: .5, zoomTo: 1.5, bend: func(rng *rand.Rand) float64 { return .025 * rng.NormFloat64() }}
}

func wideAngle() lens {
	return lens{zoomFrom: .42, zoomTo: .75, bend: func(rng *rand.Rand) float64 { return -.03 - .25*rng.Float64() }}
}

// anyCamera draws a camera that sees the whole table: behind a corner, at a side,
// behind, high up or low.
func anyCamera(rng *rand.Rand, l lens) filmed {
	u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	beside := func(near, off float64) float64 {
		if rng.IntN(2) == 0 {
			return -u(near, off)
		}
		return 1.525 + u(near, off)
	}
	for {
		c := filmed{width: 1920, height: 1080, table: .76 + .004*rng.NormFloat64()}
		if l.upright {
			c.width, c.height = c.height, c.width
		}
		switch rng.IntN(5) {
		case 0:
			c.at = vec{u(-4, -1), beside(.6, 3.2), u(1.25, 2.2)}
		case 1:
			c.at = vec{u(-.8, 2.4), beside(2.5, 5.5), u(1.15, 2.2)}
		case 2:
			c.at = vec{u(-7, -3.5), u(-.6, 2.1), u(1.6, 3.2)}
		case 3:
			a, r := u(0, 2*math.Pi), u(4, 9)
			c.at = vec{1.37 + r*math.Cos(a), .76 + r*math.Sin(a), u(2.3, 4.5)}
		default:
			c.at = vec{u(-3.5, -1), beside(.6, 3.2), u(.95, 1.3)}
		}
		look := vec{u(-.6, 1.8), u(.2, 1.3), u(.3, .95)}.minus(c.at)
		c.ahead = look.over(math.Sqrt(look.dot(look)))
		right := c.ahead.cross(vec{0, 0, 1})
		right = right.over(math.Sqrt(right.dot(right)))
		down := c.ahead.cross(right)
		sin, cos := math.Sincos(.035 * rng.NormFloat64())
		for i := range 3 {
			c.right[i], c.down[i] = cos*right[i]+sin*down[i], cos*down[i]-sin*right[i]
		}
		c.focal = 1920 * math.Exp(u(math.Log(l.zoomFrom), math.Log(l.zoomTo)))
		c.aspect = 1 + .001*rng.NormFloat64()
		c.k1, c.k2 = l.bend(rng), .005*rng.NormFloat64()
		c.cx, c.cy = c.width/2+.012*1920*rng.NormFloat64(), c.height/2+.012*1920*rng.NormFloat64()
		if _, ok := c.clicks(rng, 1, true); ok && c.big(.008) {
			return c
		}
	}
}

// feet draws n places where the near player's feet may stand and where the camera
// sees them, fewer where it sees too little of the floor.
func (c filmed) feet(rng *rand.Rand, n int) (out []vec) {
	for range 50 {
		p := vec{-.1 - 1.2*rng.Float64(), -.5 + 2.5*rng.Float64(), 0}
		if _, ok := c.see(p); ok && len(out) < n {
			out = append(out, p)
		}
	}
	return out
}
