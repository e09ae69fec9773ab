package interval

import "math"

// Score is Wilson's interval for x out of n, neither of which need be whole.
func Score(x, n float64) Interval {
	centre := x + Z*Z/2
	half := Z * math.Sqrt(Z*Z/4+max(0, x*(n-x)/n))
	return Interval{max(0, (centre-half)/(n+Z*Z)), min(1, (centre+half)/(n+Z*Z))}
}

// PoissonScore is the score interval of a Poisson mean of which x was seen: the means m
// with (x-m)² = z²m.
func PoissonScore(x float64) (low, high float64) {
	centre, half := x+Z*Z/2, Z*math.Sqrt(Z*Z/4+x)
	return max(0, centre-half), centre + half
}
