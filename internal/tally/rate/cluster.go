package rate

import (
	"math"

	"strokeledger/internal/tally/interval"
)

// FewestTurns is how many turns each side of a comparison needs: one turn against
// many is as skewed as its single rate, and no quantile of Student's t corrects for
// that. Chosen by TestFewTurns.
const FewestTurns = 3

// fewestFaults is how many faults a comparison needs on both sides together, and
// how many strokes without, each count divided by its design effect: with fewer the
// interval of the difference is too wide, and the score far from normal. Chosen by
// TestCoverage.
const fewestFaults = 4

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

func (m *Moments) Join(o Moments) {
	m.Turns += o.Turns
	m.X += o.X
	m.N += o.N
	m.XX += o.XX
	m.XN += o.XN
	m.NN += o.NN
}

// Effect is the design effect of the turns: how many times larger the variance of
// the rate is than it would be for independent strokes. It is not ok where too
// little is known of how alike the strokes of a turn are. freedom is that of
// Student's t.
//
// Source: Kish L (1965) Survey Sampling, section 8.2, with the mean size of a turn
// as a stroke sees it; the beta-binomial value is in TestReference.
func (l Likeness) Effect(m Moments) (effect, freedom float64, ok bool) {
	return l.effect(m, m.Alike())
}

func (l Likeness) effect(m Moments, own Alike) (effect, freedom float64, ok bool) {
	correlation, freedom := l.with(own)
	switch {
	case m.N == 0:
		return 0, 0, false
	case freedom < fewestFreedom && m.Turns >= manyTurns:
		correlation, freedom = max(correlation, highCorrelation), fewestFreedom
	case freedom < fewestFreedom:
		return 0, 0, false
	}
	return m.effect(correlation), freedom, true
}

// effect is the design effect with that correlation.
func (m Moments) effect(correlation float64) float64 {
	return 1 + correlation*(float64(m.NN)/float64(m.N)-1)
}

// limits are Wilson's for as many independent strokes as the turns are worth.
func (m Moments) limits(effect, freedom float64) interval.Interval {
	n := worth(float64(m.N), effect, freedom)
	i := interval.Score(n*float64(m.X)/float64(m.N), n)
	if m.X == 0 {
		i.Low = 0
	}
	if m.X == m.N {
		i.High = 1
	}
	return i
}

// worth is how many independent strokes n strokes are worth: n divided by the
// design effect, and fewer still where that itself is known from little. It may be
// less than 1 by chance: never more than n.
//
// Source: Korn EL, Graubard BI (1998) Survey Methodology 24:193-201 (effective
// sample size with its correction for degrees of freedom), here with the score
// interval, as in Franco C et al. (2019) J Surv Stat Methodol 7:334-364; a value is
// in TestReference.
func worth(n, effect, freedom float64) float64 {
	t := interval.StudentQuantile(freedom)
	return min(n, n/max(effect, 0.05)*(interval.Z*interval.Z)/(t*t))
}

// RatesApart tests whether the rates of two groups of turns differ, two-sided: the
// score test of two proportions, its variances multiplied by the design effects (1
// at least), against Student's t. Nothing is rounded. It is not ok where too few
// turns were seen, or too few faults in them, to tell.
//
// Source: Rao JNK, Scott AJ (1992) Biometrics 48:577-585, before they round; a
// value is in TestReference.
func SharesApart(one, two Moments, l Likeness) (p float64, ok bool) {
	own := one.Alike()
	own.Join(two.Alike())
	correlation, freedom := l.with(own)
	if freedom < fewestFreedom || min(one.Turns, two.Turns) < FewestTurns {
		return 1, false
	}
	return ratesApart(one, two, correlation, freedom)
}

func ratesApart(one, two Moments, correlation, freedom float64) (p float64, ok bool) {
	if one.N == 0 || two.N == 0 {
		return 1, false
	}
	n1, n2 := float64(one.N)/max(1, one.effect(correlation)), float64(two.N)/max(1, two.effect(correlation))
	r1, r2 := float64(one.X)/float64(one.N), float64(two.X)/float64(two.N)
	if with := n1*r1 + n2*r2; min(with, n1+n2-with) < fewestFaults {
		return 1, false
	}
	r := float64(one.X+two.X) / float64(one.N+two.N)
	return interval.Student((r2-r1)/math.Sqrt(r*(1-r)*(1/n1+1/n2)), freedom), true
}
