package contact

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// class is what is known of a kind of sound before a clip is heard: where its
// features lie, how much that differs from clip to clip (racket, table, hall,
// microphone), and how they spread within one. Levels of bands are nats over the
// clip's loudness.
//
// The figures were read off the tuning seeds of TestTable and rounded; between
// was then widened, as real halls differ by more than invented ones.
type class struct {
	centre, between, within [features]float64
}

func classOf(s state) class {
	if s == racket0 || s == racket1 {
		return class{
			centre:  [features]float64{-4.2, -2.1, -1.1, -.5, -2.9, -2.6, -2.9, -4.3, -.15, 2.9, 3.1},
			between: [features]float64{1.6, 1.8, 1.5, 1.3, 1.3, 1.3, 1.6, 1.3, .15, .5, 1.5},
			within:  [features]float64{1.5, 1.2, 1.1, 1.1, 1.1, 1.2, 1.2, .9, .3, .4, 1.1},
		}
	}
	return class{
		centre:  [features]float64{-.5, -.6, -1.2, -5.2, -7.8, -5.5, -3.8, -3.7, -.1, 2.5, 2.1},
		between: [features]float64{1, 1, 1.2, 1.4, 1.5, 1.2, 1.2, 1.3, .2, .5, 1.3},
		within:  [features]float64{.95, .95, 1, 1.4, 1.1, 1.1, .9, 1, .45, .4, 1},
	}
}

// clutterClass is one kind of clutter and its usual share.
type clutterClass struct {
	share float64
	class
}

// clutterClasses are: the rackets and the bounces of a table farther off; hands;
// other sharp sounds (a ball on the floor, steps); small rises of anything.
func clutterClasses() []clutterClass {
	far := func(s state, share float64) clutterClass {
		c := classOf(s)
		for b := range bands {
			c.centre[b] -= 2.2
		}
		c.centre[standing] -= 1
		c.centre[suddenness] -= .3
		c.centre[lowDecay] += .8
		c.centre[highDecay] += 1
		return clutterClass{share, c}
	}
	sharp := class{
		centre:  [features]float64{-3, -3, -2, -3, -5, -5.5, -2.5, -3, 0, 2.2, 1.2},
		between: [features]float64{2, 2, 2, 2, 2, 2, 1, 1, .3, .5, 1},
		within:  [features]float64{1.8, 1.8, 1.6, 1.8, 1.8, 1.8, 1.2, 1.2, .7, .5, 1.2},
	}
	dull := class{
		centre:  [features]float64{-4, -4.2, -4.4, -5.4, -7.3, -7.6, -1.3, -1.1, .1, 1, -1},
		between: [features]float64{1.6, 1.3, 1.2, 1.4, 1, 1, .4, .4, .3, .3, .5},
		within:  [features]float64{1.9, 2, 2, 2.2, 1.8, 1.5, 1.2, 1.1, 1, .5, .9},
	}
	return []clutterClass{far(racket0, .04), far(bounce0, .04), {.07, sharp}, {.1, sharp}, {.75, dull}}
}

// at is the class as one density before anything was heard of it.
func (c class) at(loud float64) gauss {
	mean := c.centre
	for b := range bands {
		mean[b] += loud
	}
	cov := c.cov()
	for i := range features {
		cov.SetSym(i, i, cov.At(i, i)+c.between[i]*c.between[i])
	}
	return newGauss(mean, cov)
}

// cov is the spread within one clip. Levels of bands go together (a hard stroke
// is loud in all), a sudden sound stands out and dies fast.
func (c class) cov() *mat.SymDense {
	const levels, standOut, levelStands, decays, decaysStand = .35, .8, .25, .3, -.25
	out := mat.NewSymDense(features, nil)
	for i := range features {
		for j := range i + 1 {
			r := 0.0
			switch {
			case i == j:
				r = 1
			case i < bands:
				r = levels
			case i == standing && j == suddenness:
				r = standOut
			case i >= suddenness && j < bands:
				r = levelStands
			case i == highDecay && j == lowDecay:
				r = decays
			case i >= suddenness && (j == lowDecay || j == highDecay):
				r = decaysStand
			}
			out.SetSym(i, j, r*c.within[i]*c.within[j])
		}
	}
	return out
}

// mean is the class's centre in a clip where m was seen of it, each feature as
// firm as its spread within a clip is wide against that from clip to clip.
func (c class) mean(m *moments, loud float64) (out [features]float64) {
	for i := range out {
		centre := c.centre[i]
		if i < bands {
			centre += loud
		}
		firm := math.Pow(c.within[i]/c.between[i], 2)
		out[i] = (m.sum[i] + firm*centre) / (m.n + firm)
	}
	return out
}

// spread is the covariance about the means (one for each of ms), drawn to what
// is known before as by firm observations.
func (c class) spread(firm float64, ms []*moments, means ...[features]float64) *mat.SymDense {
	cov := c.cov()
	out := mat.NewSymDense(features, nil)
	n := firm
	for _, m := range ms {
		n += m.n
	}
	for i := range features {
		for j := range i + 1 {
			v := firm * cov.At(i, j)
			for k, m := range ms {
				v += m.about(means[k], i, j)
			}
			out.SetSym(i, j, v/n)
		}
	}
	return out
}
