package table

import "math"

// free is how many numbers make a camera: three of rotation, three of place, and
// those of the lens.
const free = 10

// model is a camera: a pinhole with square pixels and one term of bending.
type model struct {
	width, height float64       // of the picture, pixels
	turn          [3][3]float64 // rows: right, down and ahead in the room
	at            [3]float64    // metres
	zoom          float64       // natural logarithm of the focal length over the longer side
	bend          float64       // a direction at radius r shows at r (1 + bend r²)
	shift         [2]float64    // of the optical axis from the picture's middle, in longer sides
}

// focal is the focal length, pixels.
func (m *model) focal() float64 { return math.Exp(m.zoom) * m.side() }

// side is the longer side of the picture, pixels: a phone held upright has the same lens.
func (m *model) side() float64 { return max(m.width, m.height) }

// axis is where the optical axis shows.
func (m *model) axis() Point {
	return Point{m.width/2 + m.side()*m.shift[0], m.height/2 + m.side()*m.shift[1]}
}

// moved is the camera after a small step: a turn about its own axes (Rodrigues'
// formula), then place and lens.
func (m *model) moved(d [free]float64) model {
	n := *m
	n.turn = product(rotation([3]float64(d[:3])), m.turn)
	for i := range n.at {
		n.at[i] += d[3+i]
	}
	n.zoom += d[6]
	n.bend += d[7]
	n.shift[0] += d[8]
	n.shift[1] += d[9]
	return n
}

// see is where a place shows. It fails for places that are not in front of the camera
// or so far off its axis that the lens's term folds them back.
func (m *model) see(place [3]float64) (Point, bool) {
	d := [3]float64{place[0] - m.at[0], place[1] - m.at[1], place[2] - m.at[2]}
	z := dot(m.turn[2], d)
	if !(z > .05) {
		return Point{}, false
	}
	x, y := dot(m.turn[0], d)/z, dot(m.turn[1], d)/z
	rr := m.bend * (x*x + y*y)
	if !(1+3*rr > .02) {
		return Point{}, false
	}
	f, mid := m.focal()*(1+rr), m.axis()
	return Point{mid.X + f*x, mid.Y + f*y}, true
}

// ray is the direction in the room in which a point of the picture looks.
func (m *model) ray(p Point) ([3]float64, bool) {
	f, mid := m.focal(), m.axis()
	x, y := (p.X-mid.X)/f, (p.Y-mid.Y)/f
	shown := math.Hypot(x, y)
	if m.bend < 0 && shown > .65/math.Sqrt(-3*m.bend) { // ⅔ is where see turns back
		return [3]float64{}, false
	}
	// Newton's steps go one way only: the function rises, and has no turn of its
	// curvature between here and the root.
	r := shown
	for range 50 {
		d := (r*(1+m.bend*r*r) - shown) / (1 + 3*m.bend*r*r)
		if r -= d; math.Abs(d) <= 1e-13*shown {
			break
		}
	}
	if shown > 0 {
		x, y = x*r/shown, y*r/shown
	}
	var out [3]float64
	for i := range out {
		out[i] = m.turn[0][i]*x + m.turn[1][i]*y + m.turn[2][i]
	}
	return out, true
}

// level is the place at the height z that a point of the picture shows.
func (m *model) level(p Point, z float64) ([2]float64, bool) {
	r, ok := m.ray(p)
	t := (z - m.at[2]) / r[2]
	x, y := m.at[0]+t*r[0], m.at[1]+t*r[1]
	// In this order a number that is none fails as well.
	ok = ok && t > 0 && math.Abs(x) < furthest && math.Abs(y) < furthest
	return [2]float64{x, y}, ok
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func scaled(a [3]float64, by float64) [3]float64 {
	return [3]float64{a[0] * by, a[1] * by, a[2] * by}
}

func unit(a [3]float64) [3]float64 { return scaled(a, 1/math.Sqrt(dot(a, a))) }

func product(a, b [3][3]float64) (out [3][3]float64) {
	for i := range out {
		for j := range out {
			out[i][j] = a[i][0]*b[0][j] + a[i][1]*b[1][j] + a[i][2]*b[2][j]
		}
	}
	return out
}

// rotation turns about w by its length, radians.
func rotation(w [3]float64) [3][3]float64 {
	angle := math.Sqrt(dot(w, w))
	a, b := 1., .5 // sin(angle)/angle and (1-cos(angle))/angle² of an angle near 0
	if angle > 1e-9 {
		half := math.Sin(angle/2) / angle
		a, b = math.Sin(angle)/angle, 2*half*half
	}
	k := [3][3]float64{{0, -w[2], w[1]}, {w[2], 0, -w[0]}, {-w[1], w[0], 0}}
	kk := product(k, k)
	for i := range k {
		for j := range k {
			k[i][j] = a*k[i][j] + b*kk[i][j]
		}
		k[i][i]++
	}
	return k
}
