package table

import (
	"math"
	"slices"
)

// profile is what a picture shows across a line, from the surface outward, sample by
// sample.
type profile struct {
	from    float64            // where the first sample lies from where the camera has the line's inner edge, pixels
	inside  [colours]float64   // of the surface beside the line
	samples [][colours]float64 // less inside
	whiter  []float64          // how far each is on the way from the surface's colour to white
	noise   float64            // of whiter on the surface
}

// take samples from r+ahead inside the surface to r and the line's width beyond it.
func (p *profile) take(pic *Picture, q, square Point, r, wide float64) {
	const first = int((ahead - .5) / halves) // of the surface alone
	p.from = -r - ahead
	p.samples, p.whiter = p.samples[:0], p.whiter[:0]
	for d := p.from; d <= r+wide+4; d += halves {
		p.samples = append(p.samples, pic.at(q.X+square.X*d, q.Y+square.Y*d))
	}
	var part [first]float64
	for c := range colours {
		for i := range part {
			part[i] = p.samples[i][c]
		}
		slices.Sort(part[:])
		p.inside[c] = part[first/2]
	}
	// White is taken to be two and a half times as light as the surface and a little,
	// and without colour: only the direction to it counts.
	white := [colours]float64{min(1.5*p.inside[0]+10, 100), -p.inside[1], -p.inside[2]}
	l := math.Sqrt(white[0]*white[0] + white[1]*white[1] + white[2]*white[2])
	for i := range p.samples {
		sum := 0.
		for c := range colours {
			p.samples[i][c] -= p.inside[c]
			sum += p.samples[i][c] * white[c] / l
		}
		p.whiter = append(p.whiter, sum)
	}
	for i := range part {
		part[i] = math.Abs(p.whiter[i])
	}
	slices.Sort(part[:])
	p.noise = 1.5 * part[first/2]
}

// sights are the best places of a white line of a width, blurred by a normal
// distribution: at each place the line's lightness and that of what lies beyond are
// fitted by least squares.
func (p *profile) sights(wide float64) (out []sight) {
	// Pixels that a line is compared over, besides its width, and beyond it to where the
	// surface should have ended.
	const before, after, outside = 4, 3, 5
	n := int((before+after+wide)/halves) + 1
	line, rest := make([]float64, n), make([]float64, n)
	var ll, lr, rr float64
	for i := range line {
		d := float64(i)*halves - before
		outer := normal((d - wide) / blur)
		line[i], rest[i] = normal(d/blur)-outer, outer
		ll, lr, rr = ll+line[i]*line[i], lr+line[i]*rest[i], rr+rest[i]*rest[i]
	}
	det := ll*rr - lr*lr
	limit := min(max(4, 3*p.noise+1), 12)
	worth := make([]float64, max(0, len(p.whiter)-n+1))
	clear := int((before - blur) / halves) // samples before the line that its blur does not reach
	for at := range worth {
		var a, b, energy, uneven float64
		for i, v := range p.whiter[at : at+n] {
			a, b, energy = a+v*line[i], b+v*rest[i], energy+v*v
		}
		light, beyond := (a*rr-b*lr)/det, (b*ll-a*lr)/det
		left := energy - light*a - beyond*b
		if light <= limit {
			continue
		}
		worth[at] = (1 - left/(energy+1e-9)) * min(1, light/(2*limit))
		if beyond > .8*light { // where something light begins need not be a line
			worth[at] *= .7
		}
		for i := range clear {
			uneven += apart(p.samples[at+i], [colours]float64{}) / float64(clear)
		}
		if uneven > .2*light+2*p.noise { // the surface has ended before
			worth[at] *= .5
		}
	}
	for at, v := range worth {
		if v < .3 || at > 0 && worth[at-1] >= v || at+1 < len(worth) && worth[at+1] > v {
			continue
		}
		s := sight{worth: v}
		part := 0. // of a sample, by the parabola through three
		if at > 0 && at+1 < len(worth) && worth[at-1] > 0 && worth[at+1] > 0 {
			l, r := worth[at-1], worth[at+1]
			part = .5 * (l - r) / (l - 2*v + r)
		}
		s.off = p.from + before + halves*(float64(at)+part)
		if !p.white(at + int((before+wide/2)/halves+.5)) {
			continue
		}
		// Beyond the reach of the line's blur.
		i := min(at+int((before+wide+outside)/halves), len(p.samples)-1)
		s.ended = apart(p.samples[i], [colours]float64{}) > 1.5*limit
		out = append(out, s)
	}
	return out
}

// white reports whether a sample differs from the surface mostly in being whiter.
func (p *profile) white(i int) bool {
	return p.whiter[i] > .7*math.Sqrt(p.samples[i][0]*p.samples[i][0]+p.samples[i][1]*p.samples[i][1]+p.samples[i][2]*p.samples[i][2])
}

// normal is the share of a normal distribution below x.
func normal(x float64) float64 { return .5 * math.Erfc(-x/math.Sqrt2) }
