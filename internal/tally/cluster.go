package tally

import "math"

// fewestTurns is from how many turns on a rate's interval lets whole turns
// differ: with fewer, their spread says too little about itself.
const fewestTurns = 5

// Moments are the sums over turns from which the spread between turns follows: x
// strokes with a fault of n in each.
type Moments struct {
	Turns      int // with n > 0
	X, N       int
	XX, XN, NN int // sums of x², x·n and n²
}

// Add counts one turn with x of n strokes; one without strokes is left out.
func (m *Moments) Add(x, n int) {
	if n == 0 {
		return
	}
	m.Turns++
	m.X += x
	m.N += n
	m.XX += x * x
	m.XN += x * n
	m.NN += n * n
}

func (m *Moments) join(o Moments) {
	m.Turns += o.Turns
	m.X += o.X
	m.N += o.N
	m.XX += o.XX
	m.XN += o.XN
	m.NN += o.NN
}

// Effect is the design effect of the turns: how many times larger the variance
// of the rate is than it would be for independent strokes, by the ratio
// estimator over turns. It is not ok with fewer than five turns, or where all
// strokes are the same.
//
// Source: Cochran WG (1977) Sampling Techniques, 3rd ed., section 6.3 (from
// memory).
func (m Moments) Effect() (effect float64, ok bool) {
	if m.Turns < fewestTurns || m.X == 0 || m.X == m.N {
		return 1, false
	}
	r := float64(m.X) / float64(m.N)
	spread := float64(m.XX) - 2*r*float64(m.XN) + r*r*float64(m.NN)
	turns := float64(m.Turns)
	return max(0, spread) * turns / (turns - 1) / (float64(m.N) * r * (1 - r)), true
}

// Clustered returns the 95 % interval of a rate that lets whole turns differ:
// Wilson's for as many independent strokes as the turns are worth, n divided by
// the design effect, and fewer still where the effect itself rests on few turns.
// It is not ok where Effect is not.
//
// Source: Korn EL, Graubard BI (1998) Survey Methodology 24:193-201 (effective
// sample size with its correction for degrees of freedom), here with the score
// interval, as in Franco C et al. (2019) J Surv Stat Methodol 7:334-364 (both
// from memory).
func Clustered(m Moments) (interval Interval, ok bool) {
	effect, ok := m.Effect()
	if !ok {
		return Interval{}, false
	}
	worth := m.worth(effect)
	return score(worth*float64(m.X)/float64(m.N), worth), true
}

// worth is how many independent strokes the turns are worth.
func (m Moments) worth(effect float64) float64 {
	t := studentQuantile(m.Turns - 1)
	n := float64(m.N)
	return min(n, n/max(effect, 1e-9)*(z*z)/(t*t))
}

// score is Wilson's interval for x out of n, neither of which need be whole.
func score(x, n float64) Interval {
	centre := x + z*z/2
	half := z * math.Sqrt(z*z/4+max(0, x*(n-x)/n))
	return Interval{max(0, (centre-half)/(n+z*z)), min(1, (centre+half)/(n+z*z))}
}

// studentQuantile is the quantile of Student's t distribution at 1 - tail with at
// least four degrees of freedom, to five digits. A summary of a club needs it for
// every number, and the exact one takes longer than all the rest.
//
// Source: Abramowitz M, Stegun IA (1964) Handbook of Mathematical Functions,
// 26.7.5 (from memory); below ten degrees of freedom the values themselves.
func studentQuantile(freedom int) float64 {
	if few := [...]float64{2.776445, 2.570582, 2.446912, 2.364624, 2.306004, 2.262157}; freedom < 4+len(few) {
		return few[freedom-4]
	}
	const (
		z3 = z * z * z
		z5 = z3 * z * z
		z7 = z5 * z * z
		z9 = z7 * z * z
	)
	v := 1 / float64(freedom)
	return z + v*((z3+z)/4+v*((5*z5+16*z3+3*z)/96+
		v*((3*z7+19*z5+17*z3-15*z)/384+v*(79*z9+776*z7+1482*z5-1920*z3-945*z)/92160)))
}
