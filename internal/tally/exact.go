package tally

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// choose is the logarithm of n choose k.
func choose(n, k int) float64 {
	return lgamma(float64(n)+1) - lgamma(float64(k)+1) - lgamma(float64(n-k)+1)
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}

// noMoreLikely adds up a distribution with one peak on low to high, given by
// logarithms, over all values no more likely than seen.
func noMoreLikely(log func(int) float64, low, high, seen int) float64 {
	// The slack is R's: equal chances may differ in their last digits.
	limit := log(seen) + math.Log1p(1e-7)
	peak := low + sort.Search(high-low, func(i int) bool { return log(low+i+1) < log(low+i) })
	if limit >= log(peak) {
		return 1
	}
	left := low + sort.Search(peak-low, func(i int) bool { return log(low+i) > limit }) - 1        // last value of the lower tail
	right := peak + 1 + sort.Search(high-peak, func(i int) bool { return log(peak+1+i) <= limit }) // first of the upper
	sum := 0.0
	for k := left; k >= low; k-- {
		p := math.Exp(log(k))
		sum += p
		if p < 1e-17*sum {
			break
		}
	}
	for k := right; k <= high; k++ {
		p := math.Exp(log(k))
		sum += p
		if p < 1e-17*sum {
			break
		}
	}
	return min(1, sum)
}

// RateRatio is a ratio of two rates with its exact 95 % interval. Ratio and High
// are +Inf where the second rate has no event.
type RateRatio struct {
	Ratio, Low, High float64
	P                float64 // two-sided, of no difference
}

// RatioOfRates compares x1 events in an exposure with x2 in another, first over
// second: given the events of both together, those of the first are binomial. It
// is not ok without an event, or unless both exposures are positive. It panics
// for a negative count.
//
// Source: the conditional test as in Gu K et al. (2008) Biometrical J 50:283-298
// and R's poisson.test.
func RatioOfRates(x1 int, exposure1 float64, x2 int, exposure2 float64) (r RateRatio, ok bool) {
	if x1 < 0 || x2 < 0 {
		panic(fmt.Sprintf("tally: %d against %d are no counts", x1, x2))
	}
	if !(exposure1 > 0 && exposure2 > 0) || x1+x2 == 0 {
		return r, false
	}
	scale := exposure2 / exposure1
	odds := func(p float64) float64 { return scale * p / (1 - p) }
	a, b := float64(x1), float64(x2)
	r = RateRatio{Ratio: odds(a / (a + b)), High: math.Inf(1)}
	if x1 > 0 {
		r.Low = odds(distuv.Beta{Alpha: a, Beta: b + 1}.Quantile(tail))
	}
	if x2 > 0 {
		r.High = odds(distuv.Beta{Alpha: a + 1, Beta: b}.Quantile(1 - tail))
	} else {
		r.Ratio = math.Inf(1)
	}
	n, p := x1+x2, exposure1/(exposure1+exposure2)
	log := func(k int) float64 {
		return choose(n, k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p)
	}
	r.P = noMoreLikely(log, 0, n, x1)
	return r, true
}

// Adjust returns the p-values adjusted for having made all these tests at once,
// in the order given: those at most q may be called discoveries, and of them a
// part q is false on average.
//
// Source: Benjamini Y, Hochberg Y (1995) JRSS B 57:289-300.
func Adjust(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return p[order[i]] < p[order[j]] })
	adjusted := make([]float64, len(p))
	least := 1.0
	for rank := len(order); rank > 0; rank-- {
		i := order[rank-1]
		least = min(least, p[i]*float64(len(p))/float64(rank))
		adjusted[i] = least
	}
	return adjusted
}
