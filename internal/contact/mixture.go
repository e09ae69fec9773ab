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
