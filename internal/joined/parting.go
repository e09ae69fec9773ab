package joined

import (
	"math"

	"strokeledger/internal/contact"
)

const traits = contact.Traits

// parting tells strokes from other sounds by how they sound: Fisher's linear discriminant
// (Fisher RA (1936), Annals of Eugenics 7(2):179-188) of the clip's own sounds.
type parting struct {
	weights [traits]float64
	level   float64
}

// spread is how the traits of all sounds of a clip vary together: the lower half of
// Cholesky's factor of their covariance. What they share is taken for a little less than it
// shows, since few sounds show it.
type spread [traits][traits]float64

func spreadOf(all [][]heard, mean *[traits]float64) *spread {
	const (
		shared = .9
		least  = .3 // variance that every trait has
	)
	c, n := &spread{}, 1e-9
	for _, turn := range all {
		for k := range turn {
			var off [traits]float64
			for a, v := range turn[k].x {
				off[a] = v - mean[a]
				for b := range a + 1 {
					c[a][b] += off[a] * off[b]
				}
			}
			n++
		}
	}
	for a := range traits {
		for b := range a {
			c[a][b] *= shared / n
		}
		c[a][a] = c[a][a]/n + least
	}
	for a := range traits {
		for b := range a + 1 {
			for k := range b {
				c[a][b] -= c[a][k] * c[b][k]
			}
			if a == b {
				c[a][a] = math.Sqrt(c[a][a])
			} else {
				c[a][b] /= c[b][b]
			}
		}
	}
	return c
}

// solve makes of v the x for which covariance times x is v.
func (c *spread) solve(v *[traits]float64) {
	for a := range traits {
		for k := range a {
			v[a] -= c[a][k] * v[k]
		}
		v[a] /= c[a][a]
	}
	for a := traits - 1; a >= 0; a-- {
		for k := a + 1; k < traits; k++ {
			v[a] -= c[k][a] * v[k]
		}
		v[a] /= c[a][a]
	}
}

// between parts strokes, which are a share of all sounds, from the rest by the means of
// both. The spread about these two means is that about one mean without what lies between
// them (Sherman J, Morrison WJ (1950), Annals of Mathematical Statistics 21(1):124-127).
func (c *spread) between(stroke, rest *[traits]float64, share float64) (s parting) {
	far := 0.
	for k := range traits {
		s.weights[k] = stroke[k] - rest[k]
	}
	c.solve(&s.weights)
	for k, w := range s.weights {
		far += w * (stroke[k] - rest[k])
	}
	within := max(.1, 1-share*(1-share)*far)
	for k := range s.weights {
		s.weights[k] /= within
		s.level += s.weights[k] * (stroke[k] + rest[k]) / 2
	}
	return s
}

// odds is how much more a sound is like the strokes than like the rest, as a logarithm; 0
// before anything is learned.
func (s *parting) odds(x *[traits]float64) float64 {
	const against, favour = 10, 8 // at most: a stroke may drown in another sound
	odds := -s.level
	for k, v := range x {
		odds += s.weights[k] * v
	}
	return min(favour, max(-against, odds))
}
