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
	var parts []float64
	return m.logs(x, &parts)
}

// logs is log, and appends the logarithm of each kind's part in it.
func (m mixture) logs(x *[features]float64, parts *[]float64) float64 {
	sum := math.Inf(-1)
	for i := range m {
		v := math.Log(m[i].share) + m[i].gauss.log(x)
		*parts = append(*parts, v)
		sum = logAdd(sum, v)
	}
	return sum
}

// share adds x with this weight to the kinds, to each as likely as it is.
func share(x *[features]float64, weight float64, parts []float64, to []moments) {
	if weight < slight {
		return
	}
	whole := math.Inf(-1)
	for _, v := range parts {
		whole = logAdd(whole, v)
	}
	for i, v := range parts {
		to[i].add(x, weight*math.Exp(v-whole))
	}
}
