package table

import (
	"math"
	"slices"
)

// lines are straight lines of the room with where they were found in a picture, to
// which a camera is fitted.
type lines struct {
	prior  prior
	places [][3]float64
	square []Point   // unit
	at     []float64 // where along square from the picture's corner
	weight []float64
	// Where the corners were clicked, if they were, counts as well: where two lines show
	// almost as one, their corner is hardly known from them.
	clicks []click
	sd     float64
}

func (l *lines) add(f *found, weight float64) {
	for i, d := range f.off {
		if !math.IsNaN(d) {
			l.places, l.square = append(l.places, f.places[i]), append(l.square, f.square[i])
			l.at = append(l.at, f.shown[i].X*f.square[i].X+f.shown[i].Y*f.square[i].Y+d)
			l.weight = append(l.weight, weight)
		}
	}
}

// lineSD is how far a line's place is off, pixels, and outlying from where on places
// count less and less.
const (
	lineSD   = 1.5
	outlying = 1.5
)

func (l *lines) residuals(m *model, out []float64) (cost float64, ok bool) {
	for i, p := range l.places {
		q, ok := m.see(p)
		if !ok {
			return 0, false
		}
		d := q.X*l.square[i].X + q.Y*l.square[i].Y - l.at[i]
		out[i] = d * l.weight[i] / lineSD / math.Sqrt(math.Sqrt(1+(d/outlying)*(d/outlying)))
	}
	rest := out[len(l.places):]
	for i, c := range l.clicks {
		q, ok := m.see(c.place)
		if !ok {
			return 0, false
		}
		x, y := (q.X-c.at.X)/l.sd, (q.Y-c.at.Y)/l.sd
		w := 1 / math.Sqrt(math.Sqrt(1+(x*x+y*y)/(far*far)))
		rest[2*i], rest[2*i+1] = x*w, y*w
	}
	l.prior.residuals(m, rest[2*len(l.clicks):])
	for _, r := range out {
		cost += r * r
	}
	return cost, !math.IsNaN(cost) && !math.IsInf(cost, 0)
}

func (l *lines) settle(m model, steps int) (model, bool) {
	m, _, ok := descend(l, m, len(l.places)+2*len(l.clicks)+priors, steps, 1e-3, 1e-6)
	return m, ok
}

// even is how much of the surface has one colour: the share of places in all four
// quarters whose colour is that of most.
func even(pic *Picture, m *model) float64 {
	var all [][colours]float64
	for _, x := range []float64{.35, .8, 1.95, 2.4} {
		for _, y := range []float64{.3, .55, 1, 1.25} {
			q, ok := m.see([3]float64{x, y, height})
			if !ok {
				return 0
			}
			all = append(all, pic.at(q.X, q.Y))
		}
	}
	var mid [colours]float64
	part := make([]float64, len(all))
	for c := range mid {
		for i := range all {
			part[i] = all[i][c]
		}
		slices.Sort(part)
		mid[c] = (part[len(part)/2-1] + part[len(part)/2]) / 2
	}
	n := 0.
	for _, c := range all {
		if math.Hypot(c[1]-mid[1], c[2]-mid[2]) < 10 {
			n++
		}
	}
	return n / float64(len(all))
}
