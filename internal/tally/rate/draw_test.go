package rate_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// evenly draws the rate of one turn (of one day) round p from a beta distribution, what this
// package's own arithmetic has in mind, so that two strokes of it have the correlation rho.
func evenly(rnd *rand.Rand, p, rho float64) float64 {
	if rho == 0 || p <= 0 || p >= 1 {
		return p
	}
	return distuv.Beta{Alpha: p * (1/rho - 1), Beta: (1 - p) * (1/rho - 1), Src: rnd}.Rand()
}

// unevenly is bad in one turn of four and good in the others, which is nothing like it.
func unevenly(rnd *rand.Rand, p, rho float64) float64 {
	s := math.Sqrt(rho * p * (1 - p) * 3)
	if rnd.IntN(4) == 0 {
		return min(1, p+s)
	}
	return max(0, p-s/3)
}
