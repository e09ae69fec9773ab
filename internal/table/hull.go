package table

import (
	"cmp"
	"math"
	"slices"
)

// hull is the convex hull of points, clockwise as they show in a picture (Andrew AM
// (1979), Inf Process Lett 9:216-219). It sorts the points.
func hull(points []Point) []Point {
	slices.SortFunc(points, func(a, b Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	var out []Point
	half := func(of func(yield func(Point) bool)) {
		from := len(out)
		of(func(p Point) bool {
			for len(out) >= from+2 && bends(out[len(out)-2], out[len(out)-1], p) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
			return true
		})
		out = out[:len(out)-1]
	}
	half(slices.Values(points))
	half(func(yield func(Point) bool) {
		for _, p := range slices.Backward(points) {
			yield(p)
		}
	})
	return out
}

// bends is twice the area of a triangle, positive where it goes clockwise in the
// picture.
func bends(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// area is that of a polygon.
func area(q []Point) float64 {
	sum := 0.
	for i, p := range q {
		n := q[(i+1)%len(q)]
		sum += p.X*n.Y - p.Y*n.X
	}
	return math.Abs(sum) / 2
}

// quadrangle is the one round a convex hull that adds least: sides go one by one, the
// neighbours being lengthened until they meet, until four are left.
func quadrangle(h []Point) (q [4]Point, ok bool) {
	p := simplified(h)
	for len(p) > 4 {
		least, at, meet := math.Inf(1), -1, Point{}
		n := len(p)
		for i := range p {
			a, b, c, d := p[(i+n-1)%n], p[i], p[(i+1)%n], p[(i+2)%n] // the side from b to c goes
			x, ok := crossing(a, b, d, c)
			if !ok {
				continue
			}
			if add := math.Abs(bends(b, c, x)) / 2; add < least {
				least, at, meet = add, i, x
			}
		}
		if at < 0 {
			return q, false
		}
		p[at] = meet
		p = slices.Delete(p, (at+1)%n, (at+1)%n+1)
	}
	return q, copy(q[:], p) == 4
}

// crossing is where the line from a to b, lengthened beyond b, meets that through c
// and d.
func crossing(a, b, c, d Point) (Point, bool) {
	rx, ry, sx, sy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	k := rx*sy - ry*sx
	t := ((c.X-a.X)*sy - (c.Y-a.Y)*sx) / k
	ok := math.Abs(k) > 1e-9 && t >= 1
	return Point{a.X + t*rx, a.Y + t*ry}, ok
}

// simplified leaves out corners of a hull that stand out by less than most of a pixel,
// the least first.
func simplified(h []Point) []Point {
	p := slices.Clone(h)
	for len(p) > 4 {
		least, at := .8, -1
		for i, b := range p {
			a, c := p[(i+len(p)-1)%len(p)], p[(i+1)%len(p)]
			if out := math.Abs(bends(a, b, c)) / (math.Hypot(c.X-a.X, c.Y-a.Y) + 1e-9); out < least {
				least, at = out, i
			}
		}
		if at < 0 {
			break
		}
		p = slices.Delete(p, at, at+1)
	}
	return p
}
