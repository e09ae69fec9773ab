package film

import (
	"image"
	"math"

	"strokeledger/internal/demo"
)

// point is a place in the picture, pixels.
type point struct{ x, y float64 }

func (a point) sub(b point) point   { return point{a.x - b.x, a.y - b.y} }
func (a point) dot(b point) float64 { return a.x*b.x + a.y*b.y }

// unit is the direction of a, or of b where a is short.
func (a point) unit(b point) point {
	n := math.Sqrt(a.dot(a))
	if n < 1 {
		return b
	}
	return point{a.x / n, a.y / n}
}
func (a point) mid(b point) point { return point{(a.x + b.x) / 2, (a.y + b.y) / 2} }

// brush draws soft-shaded, anti-aliased shapes: the covered part of a pixel is
// read from its distance to the shape's edge.
type brush struct{ img *image.RGBA }

// light is the direction in the picture that the hall's lamps come from.
func light() point { return point{-0.45, -0.89} }

// blend lays a colour times k over a pixel, covered from 0 to 1.
func (b brush) blend(i int, c demo.RGB, k, cover float64) {
	pix := b.img.Pix[i : i+3 : i+3]
	bright, part := uint32(k*256), uint32(cover*256)
	for j, v := range c {
		lit := min(255, uint32(v)*bright>>8)
		if part < 256 {
			lit = (uint32(pix[j])*(256-part) + lit*part + 128) >> 8
		}
		pix[j] = uint8(lit)
	}
}

// clip is the part of the picture that a box of pixels covers.
func (b brush) clip(x0, y0, x1, y1 float64) image.Rectangle {
	return image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1))+1, int(math.Ceil(y1))+1).Intersect(b.img.Rect)
}

// limb is a rounded stick from one circle to another, shaded like a tube.
func (b brush) limb(a, c point, ra, rc float64, colour demo.RGB) image.Rectangle {
	r := max(ra, rc) + 1
	box := b.clip(min(a.x, c.x)-r, min(a.y, c.y)-r, max(a.x, c.x)+r, max(a.y, c.y)+r)
	along := c.sub(a)
	length := max(along.dot(along), 1e-9)
	across := point{-along.y, along.x}
	lamp := light()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		from, to := stripe(a, across, r*math.Sqrt(length), float64(y)+0.5, box)
		i := b.img.PixOffset(from, y)
		for x := from; x < to; x, i = x+1, i+4 {
			p := point{float64(x) + 0.5 - a.x, float64(y) + 0.5 - a.y}
			t := min(max(p.dot(along)/length, 0), 1)
			p.x -= along.x * t
			p.y -= along.y * t
			edge := ra + (rc-ra)*t
			d := p.dot(p)
			if d >= (edge+0.5)*(edge+0.5) {
				continue
			}
			cover := 1.0
			if inner := edge - 0.5; inner < 0 || d > inner*inner {
				cover = min(1, edge-math.Sqrt(d)+0.5)
			}
			part := 1 / edge
			b.blend(i, colour, tube(d*part*part, p.dot(lamp)*part), cover)
		}
	}
	return box
}

// stripe is the part of a row in which points lie no farther than reach (times
// the length of across) from a line through a, square to across.
func stripe(a, across point, reach, y float64, box image.Rectangle) (from, to int) {
	if math.Abs(across.x) < 1e-6 {
		return box.Min.X, box.Max.X
	}
	middle := a.x - (y-a.y)*across.y/across.x
	half := math.Abs(reach / across.x)
	from = int(max(float64(box.Min.X), math.Floor(middle-half)))
	to = int(min(float64(box.Max.X), math.Ceil(middle+half)+1))
	return min(from, to), to
}

// tube is the brightness on a round body: off is the square of the place, from 0
// at its middle to 1 at its edge; lit runs from -1 (turned away) to 1.
func tube(off, lit float64) float64 {
	return 0.74 + 0.28*math.Sqrt(1-min(off, 1)) + 0.16*lit
}

// slab is a rounded shape with four corners in order, the first and the last at the
// bottom, shaded from there to the top.
func (b brush) slab(q [4]point, r float64, c *cloth) image.Rectangle {
	x0, y0, x1, y1 := q[0].x, q[0].y, q[0].x, q[0].y
	area := 0.0
	for i, p := range q {
		x0, y0, x1, y1 = min(x0, p.x), min(y0, p.y), max(x1, p.x), max(y1, p.y)
		n := q[(i+1)%4]
		area += p.x*n.y - n.x*p.y
	}
	box := b.clip(x0-r-1, y0-r-1, x1+r+1, y1+r+1)
	up := q[1].mid(q[2]).sub(q[0].mid(q[3]))
	wide := q[2].mid(q[3]).sub(q[0].mid(q[1]))
	middle := q[0].mid(q[3]).mid(q[1].mid(q[2]))
	// The cloth's own measures, its edges included; seen from the side it is as wide as it is thick.
	tall, broad := math.Sqrt(up.dot(up))/2+r, math.Sqrt(wide.dot(wide))/2+r
	along, across := up.unit(point{0, -1}), wide.unit(point{1, 0})
	edges := sides(q, area)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		i := b.img.PixOffset(box.Min.X, y)
		for x := box.Min.X; x < box.Max.X; x, i = x+1, i+4 {
			p := point{float64(x) + 0.5, float64(y) + 0.5}
			d := r - outside(&edges, p)
			if d <= -0.5 {
				continue
			}
			from := p.sub(middle)
			off := from.dot(along) / tall
			lit := along.dot(light()) * off
			b.blend(i, c.at(from.dot(across)/broad, (off+1)/2), tube(off*off*0.9, lit), min(1, d+0.5))
		}
	}
	return box
}

// side is one edge of a polygon.
type side struct {
	from, along point
	length      float64 // one over its square
	orientation float64 // which way round the polygon runs
}

func sides(q [4]point, area float64) (all [4]side) {
	for i, a := range q {
		along := q[(i+1)%4].sub(a)
		all[i] = side{a, along, 1 / max(along.dot(along), 1e-9), area}
	}
	return all
}

// outside is how far a point lies outside a polygon, 0 inside.
func outside(all *[4]side, p point) float64 {
	inside := true
	for i := range all {
		s := &all[i]
		if (s.along.x*(p.y-s.from.y)-s.along.y*(p.x-s.from.x))*s.orientation < 0 {
			inside = false
			break
		}
	}
	if inside {
		return 0
	}
	best := math.Inf(1)
	for i := range all {
		s := &all[i]
		wx, wy := p.x-s.from.x, p.y-s.from.y
		t := min(max((wx*s.along.x+wy*s.along.y)*s.length, 0), 1)
		ox, oy := wx-s.along.x*t, wy-s.along.y*t
		best = min(best, ox*ox+oy*oy)
	}
	return math.Sqrt(best)
}

// disc is a flat ellipse given by its two half axes, which need not be square to
// each other.
func (b brush) disc(c, u, v point, colour demo.RGB) image.Rectangle {
	ex, ey := math.Hypot(u.x, v.x)+1, math.Hypot(u.y, v.y)+1
	box := b.clip(c.x-ex, c.y-ey, c.x+ex, c.y+ey)
	det := u.x*v.y - u.y*v.x
	if math.Abs(det) < 1e-6 {
		return box
	}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		i := b.img.PixOffset(box.Min.X, y)
		for x := box.Min.X; x < box.Max.X; x, i = x+1, i+4 {
			p := point{float64(x) + 0.5 - c.x, float64(y) + 0.5 - c.y}
			s, t := (p.x*v.y-p.y*v.x)/det, (u.x*p.y-u.y*p.x)/det
			radius := math.Hypot(s, t)
			gx, gy := (s*v.y-t*u.y)/det, (t*u.x-s*v.x)/det
			slope := math.Hypot(gx, gy) / max(radius, 1e-6)
			if cover := min(1, (1-radius)/max(slope, 1e-9)+0.5); cover > 0 {
				b.blend(i, colour, 1, cover)
			}
		}
	}
	return box
}

// shadow darkens a soft ellipse.
func (b brush) shadow(c, u, v point, strength float64) image.Rectangle {
	ex, ey := math.Hypot(u.x, v.x)+1, math.Hypot(u.y, v.y)+1
	box := b.clip(c.x-ex, c.y-ey, c.x+ex, c.y+ey)
	det := u.x*v.y - u.y*v.x
	if math.Abs(det) < 1e-6 {
		return box
	}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		i := b.img.PixOffset(box.Min.X, y)
		for x := box.Min.X; x < box.Max.X; x, i = x+1, i+4 {
			p := point{float64(x) + 0.5 - c.x, float64(y) + 0.5 - c.y}
			s, t := (p.x*v.y-p.y*v.x)/det, (u.x*p.y-u.y*p.x)/det
			if q := s*s + t*t; q < 1 {
				keep := 1 - strength*(1-q)*(1-q)
				pix := b.img.Pix[i : i+3 : i+3]
				for j := range pix {
					pix[j] = uint8(float64(pix[j])*keep + 0.5)
				}
			}
		}
	}
	return box
}
