package table

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
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
	lineSD float64 // how far a line's place is off, pixels
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

// outlying is from where on a line's places count less and less, pixels.
const outlying = 1.5

// misfit is the d and weight of a place of a line.
func (l *lines) misfit(m *model, i int) (d, weight float64, ok bool) {
	q, ok := m.see(l.places[i])
	d = q.X*l.square[i].X + q.Y*l.square[i].Y - l.at[i]
	return d, l.weight[i] / math.Sqrt(math.Sqrt(1+(d/outlying)*(d/outlying))), ok
}

func (l *lines) residuals(m *model, out []float64) (cost float64, ok bool) {
	for i := range l.places {
		d, weight, ok := l.misfit(m, i)
		if !ok {
			return 0, false
		}
		out[i] = d * weight / l.lineSD
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

// count is how many residuals there are.
func (l *lines) count() int { return len(l.places) + 2*len(l.clicks) + priors }

// spread is the standard deviation of the corner that is known least, pixels.
func (l *lines) spread(m *model) float64 {
	cov, ok := covariance(l, m, l.count())
	if !ok {
		return math.Inf(1)
	}
	most := 0.
	for _, c := range corners() {
		var by [2][free]float64
		for i := range free {
			var d [free]float64
			d[i] = tiny
			up := m.moved(d)
			d[i] = -tiny
			down := m.moved(d)
			a, okA := up.see(c)
			b, okB := down.see(c)
			if !okA || !okB {
				return math.Inf(1)
			}
			by[0][i], by[1][i] = (a.X-b.X)/(2*tiny), (a.Y-b.Y)/(2*tiny)
		}
		x, y := mat.NewVecDense(free, by[0][:]), mat.NewVecDense(free, by[1][:])
		most = max(most, mat.Inner(x, cov, x)+mat.Inner(y, cov, y))
	}
	return math.Sqrt(most)
}

func (l *lines) settle(m model, steps int) (model, bool) {
	count := l.count()
	l.lineSD = 1.5
	m, _, ok := descend(l, m, count, steps, 1e-3, 1e-6)
	if !ok {
		return m, ok
	}
	var sum, of float64
	for i := range l.places {
		d, weight, _ := l.misfit(&m, i)
		sum, of = sum+d*d*weight*weight, of+weight*weight
	}
	l.lineSD = min(max(2*math.Sqrt(sum/of), .4), 1.5)
	m, _, ok = descend(l, m, count, steps, 1e-3, 1e-6)
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
