package contact

import "math"

// mixture is the density of clutter, of which a hall has several kinds: steps,
// syllables, echoes, hands.
type mixture []part

type part struct {
	share float64
	class class
	gauss
}

func (m mixture) log(x *[features]float64) float64 {
	sum := math.Inf(-1)
	for i := range m {
		sum = logAdd(sum, math.Log(m[i].share)+m[i].gauss.log(x))
	}
	return sum
}

// share adds x with this weight to the kinds, to each as likely as it is.
func (m mixture) share(x *[features]float64, weight float64, to []moments) {
	if weight < slight {
		return
	}
	whole := m.log(x)
	for i := range m {
		to[i].add(x, weight*math.Exp(math.Log(m[i].share)+m[i].gauss.log(x)-whole))
	}
}

// split makes two of every part that keeps no rhythm, a step apart along its
// widest direction.
func (m mixture) split() mixture {
	out := append(mixture(nil), m[:besides]...)
	for _, p := range m[besides:] {
		axis := p.gauss.widest()
		for _, sign := range []float64{-1, 1} {
			half := part{p.share / 2, p.class, p.gauss}
			for i := range axis {
				half.mean[i] += sign * axis[i] / 2
			}
			out = append(out, half)
		}
	}
	return out
}
