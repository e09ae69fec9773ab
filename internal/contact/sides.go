package contact

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// part pushes the two sides of the model apart along the direction of features
// in which contacts of alternate players differ most, against the spread within
// one player: the principal axis of the differences between consecutive strikes
// (which are by different players), measured in the spread of the rackets' class.
// Which of the two comes out as side 0 is chance; see Detector.near.
func (m *model) part(cs []candidate, beliefs []belief) {
	m.partKind(racket0, pairs(cs, beliefs, true))
	m.partKind(bounce0, pairs(cs, beliefs, false))
}

// pair is two contacts of one kind that follow each other in play, with one of
// the other kind between.
type pair struct{ a, b *candidate }

func pairs(cs []candidate, beliefs []belief, racket bool) []pair {
	var out []pair
	last, between := -1, 0
	lastAny := -1
	for i := range cs {
		if beliefs[i].contact() < .5 {
			continue
		}
		if lastAny >= 0 && cs[i].at-cs[lastAny].at > .6 {
			last, between = -1, 0
		}
		lastAny = i
		if (beliefs[i].racket() > beliefs[i].contact()/2) != racket {
			between++
			continue
		}
		if last >= 0 && between == 1 {
			out = append(out, pair{&cs[last], &cs[i]})
		}
		last, between = i, 0
	}
	return out
}

func (m *model) partKind(first state, ps []pair) {
	if len(ps) < 4 {
		return
	}
	g := &m.sounds[first]
	// Differences in units of the class's spread.
	scatter := mat.NewSymDense(features, nil)
	for _, p := range ps {
		var d, w [features]float64
		for i := range d {
			d[i] = p.b.x[i] - p.a.x[i]
		}
		for i := range features {
			for j := range i + 1 {
				w[i] += g.under[i][j] * d[j]
			}
		}
		for i := range features {
			for j := range i + 1 {
				scatter.SetSym(i, j, scatter.At(i, j)+w[i]*w[j]/float64(len(ps)))
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(scatter, true) {
		return
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	values := eig.Values(nil)
	// A difference of two of the same class has a variance of 2 in each
	// direction; the sides lie half the square root of what is above that from
	// the middle.
	half := math.Sqrt(max(.2, values[features-1]-1)) / 2
	var axis [features]float64
	for i := range axis {
		axis[i] = vectors.At(i, features-1) * half
	}
	d := g.spread(axis)
	for side := range 2 {
		s := first + state(side)
		sign := float64(1 - 2*side)
		for i := range d {
			m.sounds[s].mean[i] = g.mean[i] + sign*d[i]
		}
	}
}
