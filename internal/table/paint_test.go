package table_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"slices"

	"strokeledger/internal/table"
)

// light is red, green and blue, 0 to 255, not rounded.
type light [3]float64

func (c light) times(k float64) light { return light{c[0] * k, c[1] * k, c[2] * k} }
func (c light) mix(d light, t float64) light {
	return light{c[0] + t*(d[0]-c[0]), c[1] + t*(d[1]-c[1]), c[2] + t*(d[2]-c[2])}
}

// canvas paints polygons of the room, what is farther away first.
type canvas struct {
	filmed
	w, h int
	pix  []light
}

func newCanvas(c filmed) *canvas {
	w, h := int(c.width), int(c.height)
	return &canvas{c, w, h, make([]light, w*h)}
}

// show is where a place shows, also outside the picture.
func (c *canvas) show(p vec) table.Point {
	q, _ := c.see(p)
	return q
}

func (c *canvas) depth(p vec) float64 { return p.minus(c.at).dot(c.ahead) }

// polygon paints one, with edges that the lens bends and of which nothing is behind
// the camera.
func (c *canvas) polygon(colour light, cover float64, places ...vec) {
	const near, pieces = .25, 16
	var fine []vec
	for i, a := range places {
		b := places[(i+1)%len(places)]
		for k := range pieces {
			t := float64(k) / pieces
			fine = append(fine, vec{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1]), a[2] + t*(b[2]-a[2])})
		}
	}
	var out []table.Point
	for i, a := range fine {
		b := fine[(i+1)%len(fine)]
		za, zb := c.depth(a), c.depth(b)
		if za > near {
			out = append(out, c.show(a))
		}
		if (za > near) != (zb > near) {
			t := (near - za) / (zb - za)
			out = append(out, c.show(vec{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1]), a[2] + t*(b[2]-a[2])}))
		}
	}
	c.fill(out, colour, cover)
}

// fill paints a polygon of the picture: five lines a row, exact along each.
func (c *canvas) fill(q []table.Point, colour light, cover float64) {
	if len(q) < 3 {
		return
	}
	const lines = 5
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, p := range q {
		top, bottom = min(top, p.Y), max(bottom, p.Y)
	}
	share := make([]float64, c.w)
	var cuts []float64
	for y := max(0, int(top)); y <= min(c.h-1, int(bottom)); y++ {
		clear(share)
		for l := range lines {
			at := float64(y) + (float64(l)+.5)/lines
			cuts = cuts[:0]
			for i, a := range q {
				b := q[(i+1)%len(q)]
				if (a.Y <= at) != (b.Y <= at) {
					cuts = append(cuts, a.X+(at-a.Y)/(b.Y-a.Y)*(b.X-a.X))
				}
			}
			slices.Sort(cuts)
			for i := 0; i+1 < len(cuts); i += 2 {
				from, to := max(cuts[i], 0), min(cuts[i+1], float64(c.w))
				for x := int(from); x < c.w && float64(x) < to; x++ {
					share[x] += (min(to, float64(x+1)) - max(from, float64(x))) / lines
				}
			}
		}
		for x, s := range share {
			if s > 0 {
				c.pix[y*c.w+x] = c.pix[y*c.w+x].mix(colour, s*cover)
			}
		}
	}
}

// stick paints a limb of a radius, metres.
func (c *canvas) stick(a, b vec, radius float64, colour light) {
	za, zb := c.depth(a), c.depth(b)
	if za < .3 || zb < .3 {
		return
	}
	p, q := c.show(a), c.show(b)
	ra, rb := radius*c.focal/za, radius*c.focal/zb
	l := math.Hypot(q.X-p.X, q.Y-p.Y) + 1e-9
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	var out []table.Point
	for k := range 13 { // half a circle round each end
		sin, cos := math.Sincos(math.Pi * (.5 + float64(k)/12))
		out = append(out, table.Point{X: p.X + ra*(cos*ux-sin*uy), Y: p.Y + ra*(cos*uy+sin*ux)})
	}
	for k := range 13 {
		sin, cos := math.Sincos(math.Pi * (float64(k)/12 - .5))
		out = append(out, table.Point{X: q.X + rb*(cos*ux-sin*uy), Y: q.Y + rb*(cos*uy+sin*ux)})
	}
	c.fill(out, colour, 1)
}

// film is what a camera makes of the painting: darker at the edges and as a whole,
// blurred, noisy and compressed.
func (c *canvas) film(rng *rand.Rand, dark, edge, blur, noise float64, quality int) *image.RGBA {
	c.blur(blur)
	img := image.NewRGBA(image.Rect(0, 0, c.w, c.h))
	for i, p := range c.pix {
		x, y := float64(i%c.w)/float64(c.w)-.5, float64(i/c.w)/float64(c.h)-.5
		k := dark * (1 - edge*(x*x+y*y))
		for j, v := range p {
			img.Pix[4*i+j] = uint8(min(max(v*k+noise*rng.NormFloat64()+.5, 0), 255))
		}
		img.Pix[4*i+3] = 255
	}
	var file bytes.Buffer
	_ = jpeg.Encode(&file, img, &jpeg.Options{Quality: quality})
	back, _ := jpeg.Decode(&file)
	for y := range c.h {
		for x := range c.w {
			img.Set(x, y, back.At(x, y))
		}
	}
	return img
}

// blur smooths by a normal distribution of that many pixels.
func (c *canvas) blur(sd float64) {
	if sd < .2 {
		return
	}
	var weights []float64
	sum := 0.
	for k := -4; k <= 4; k++ {
		weights = append(weights, math.Exp(-float64(k*k)/(2*sd*sd)))
		sum += weights[k+4]
	}
	for _, step := range []int{1, c.w} {
		out := make([]light, len(c.pix))
		for i := range out {
			for k, w := range weights {
				j := i + (k-4)*step
				if j < 0 || j >= len(out) {
					j = i
				}
				for n := range 3 {
					out[i][n] += w / sum * c.pix[j][n]
				}
			}
		}
		c.pix = out
	}
}

// apart is how far two points lie apart, pixels.
func apart(a, b table.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
