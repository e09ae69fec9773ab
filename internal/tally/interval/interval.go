// Package interval has intervals and tests of counts that are independent of one
// another. Every interval covers 95 %, two-sided. It is pure, and knows nothing of
// strokes.
package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// tail is the probability that a two-sided 95 % interval leaves out at each end.
const tail = 0.025

// Z is the quantile of the standard normal distribution at 1 - tail.
const Z = 1.9599639845400545

// Interval is a closed range of values.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Wilson returns the 95 % score interval of the proportion x out of n, without
// continuity correction. It is not ok for n = 0, where nothing is known. The
// lower end is exactly 0 for x = 0, the upper exactly 1 for x = n. It panics
// unless 0 <= x <= n.
//
// Source: Newcombe RG (1998) Stat Med 17:857-872, method 3.
func Wilson(x, n int) (interval Interval, ok bool) {
	if x < 0 || x > n {
		panic(fmt.Sprintf("interval: %d out of %d is not a proportion", x, n))
	}
	if n == 0 {
		return Interval{}, false
	}
	fx, fn := float64(x), float64(n)
	centre := fx + Z*Z/2
	half := Z * math.Sqrt(Z*Z/4+fx*(fn-fx)/fn)
	interval = Interval{(centre - half) / (fn + Z*Z), (centre + half) / (fn + Z*Z)}
	if x == 0 {
		interval.Low = 0
	}
	if x == n {
		interval.High = 1
	}
	return interval, true
}

// Difference returns p1 - p2 for the proportions p1 = x1/n1 and p2 = x2/n2 of
// two groups that share no stroke, with its 95 % hybrid score interval. It is
// not ok where either n is 0. It panics where Wilson does.
//
// Source: Newcombe RG (1998) Stat Med 17:873-890, method 10.
func Difference(x1, n1, x2, n2 int) (difference float64, interval Interval, ok bool) {
	one, ok1 := Wilson(x1, n1)
	two, ok2 := Wilson(x2, n2)
	if !ok1 || !ok2 {
		return 0, Interval{}, false
	}
	difference, interval = Apart(float64(x1)/float64(n1), one, float64(x2)/float64(n2), two)
	return difference, interval, true
}

// Apart is the difference p1 - p2 of two proportions with the interval that follows
// from those of the two.
func Apart(p1 float64, one Interval, p2 float64, two Interval) (difference float64, interval Interval) {
	difference = p1 - p2
	return difference, Interval{
		Low:  max(-1, difference-math.Hypot(p1-one.Low, two.High-p2)),
		High: min(1, difference+math.Hypot(one.High-p1, p2-two.Low)),
	}
}

// Poisson returns the exact 95 % interval of the mean of a Poisson count of
// which x was seen. The lower end is exactly 0 for x = 0. It panics for x < 0.
//
// Source: Garwood F (1936) Biometrika 28:437-442. The limits are half the
// chi-square quantiles with 2x and 2x+2 degrees of freedom, which are the
// quantiles of gamma distributions with shapes x and x+1.
func Poisson(x int) Interval {
	if x < 0 {
		panic(fmt.Sprintf("interval: %d is not a count", x))
	}
	interval := Interval{High: distuv.Gamma{Alpha: float64(x) + 1, Beta: 1}.Quantile(1 - tail)}
	if x > 0 {
		interval.Low = distuv.Gamma{Alpha: float64(x), Beta: 1}.Quantile(tail)
	}
	return interval
}
