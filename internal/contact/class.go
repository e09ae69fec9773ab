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
// The figures of a contact were read off the tuning seeds (build/bench.sh refit) and
// rounded; between was then widened, as real halls differ by more than invented ones.
type class struct {
	centre, between, within [features]float64
}

// contactClass is a racket or the table: nothing is taken to be known of how
// the one sounds beside the other.
func contactClass() class {
	return class{
		centre:  [features]float64{-5.7, -5.2, -4.6, -3.9, -3.5, -3.5, -3.9, -4.4, -5.1, -6.2, -7.1, -7.8, -8.8, -9.2, -7.6, -7, -4.1, -4.2, .3, 2.9, 3.4, -3},
		between: [features]float64{2.4, 2.6, 2.6, 2.4, 2.2, 2.2, 2.2, 2.3, 2.4, 2.7, 2.9, 2.8, 2.8, 2.3, 2.1, 1.8, 1.5, 1.4, .35, .6, 1.8, 1.2},
		within:  [features]float64{1.2, 1.2, 1.2, 1.2, 1.15, 1.1, 1.1, 1.1, 1.1, 1.1, 1, .95, .85, .8, 1.2, 1.15, 1.1, .95, .42, .4, 1.05, .65},
	}
}

// spoilt is the share of contacts that fall together with another sound.
const spoilt = .12

// spoil is the class as it comes out where another sound covers a part of it:
// the same, less clear and far more spread.
func (c class) spoil(g *gauss) gauss {
	mean := g.mean
	shift := [features]float64{lowDecay: 1, highDecay: 1.5, attack: .3, suddenness: -.7, standing: -1.5, room: 1}
	for i := range mean {
		mean[i] += shift[i]
	}
	c.within[attack] = .9
	cov := c.cov()
	cov.ScaleSym(spoilSpread*spoilSpread, cov)
	return newGauss(mean, cov)
}

// spoilSpread is how many times wider a spoilt contact's features spread.
const spoilSpread = 1.7

// clutterClass is one kind of clutter and its usual share.
type clutterClass struct {
	share float64
	class
}

// clutterClasses are, first those that keep a rhythm: the rackets and the
// bounces of a table farther off, and hands; then thuds (a ball on the floor,
// steps), squeaks, speech, echoes, and small rises of anything.
func clutterClasses() []clutterClass {
	own := contactClass()
	return []clutterClass{{.03, own}, {.1, class{
		centre:  known(-5, -7, -8, -9.7, -10.7, -10.7, -2, -1.5, 0.8, 1.6, 1.1, -2),
		between: known(1.3, 1.3, 1.3, 1.3, 1.3, 1.3, 1, 1.5, .4, .8, 1.8, 1.5),
		within:  known(1.4, 1.9, 2, 2, 1.7, 1.6, 1.1, 1.2, .8, .6, 1, 1.2),
	}}, {.05, class{
		centre:  known(-8.2, -8, -6.3, -4.3, -6.1, -7.9, -1, -0.2, 1.4, 2, 1.9, -1),
		between: known(1.3, 1.3, 1.3, 1.3, 1.3, 1.3, .7, .7, .3, .4, .7, 1.5),
		within:  known(2.2, 2.4, 2.5, 1.3, 1.5, 2, 1.5, .8, .6, .6, 1.2, 1.2),
	}}, {.1, class{
		centre:  known(-5.7, -5.6, -5.6, -6, -7.8, -8.8, -1.2, -0.8, 0.9, 1.3, 0.7, -1),
		between: known(1.3, 1.3, 1.3, 1.3, 1.3, 1.3, .7, .7, .3, .4, .7, 1.5),
		within:  known(1.9, 1.8, 1.7, 1.8, 1.9, 1.9, 1.4, 1.3, .9, .7, 1.1, 1.2),
	}}, {.06, class{
		centre:  known(-6.9, -6.4, -6.4, -6.9, -8.9, -8.9, -0.8, -0.8, 0.6, 2, -0.6, -1),
		between: known(1.3, 1.3, 1.3, 1.3, 1.3, 1.3, .5, .5, .3, .4, .5, 1.5),
		within:  known(1.6, 1.6, 1.6, 1.6, 1.6, 1.5, 1, 1, .8, .4, .7, 1.2),
	}}, {.58, class{
		centre:  known(-6.7, -6.9, -7.2, -8.1, -9.8, -10.1, -1.3, -1.1, 0.8, 1, 0, -1.3),
		between: known(1.6, 1.3, 1.2, 1.4, 1, 1, .4, .4, .3, .3, .5, 1.5),
		within:  known(1.9, 1.9, 1.8, 1.9, 1.5, 1.3, 1.2, 1.1, .9, .5, .8, 1.2),
	}}}
}

// at is the class as one density before anything was heard of it.
func (c class) at(loud float64) gauss {
	mean := c.centre
	for b := range levels {
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
	const together, alike, standOut, levelStands, decays, decaysStand = .12, .63, .8, .3, .3, -.25
	out := mat.NewSymDense(features, nil)
	for i := range features {
		for j := range i + 1 {
			r := 0.0
			switch {
			case i == j:
				r = 1
			case i < levels:
				r = together + alike*math.Pow(.85, float64(i-j))
			case i == standing && j == suddenness:
				r = standOut
			case i >= suddenness && j < levels:
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
		if i < levels {
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

// known spreads what is known of six bands, those of the search, over those of a
// timbre; the rest are the other features.
func known(v ...float64) (out [features]float64) {
	edges := bandEdges()
	for l := range levels {
		pitch := math.Log(lowestLevel) + math.Log(highestLevel/lowestLevel)*(float64(l)+.5)/levels
		b := 0
		middle := func(b int) float64 { return .5 * math.Log(edges[b]*edges[b+1]) }
		for b < bands-2 && pitch > middle(b+1) {
			b++
		}
		w := max(0, min(1, (pitch-middle(b))/(middle(b+1)-middle(b))))
		out[l] = (1-w)*v[b] + w*v[b+1]
	}
	copy(out[levels:], v[bands:])
	return out
}
