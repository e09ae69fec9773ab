package contact

import (
	"math"
	"slices"
)

// timing tells how evenly what is taken for contacts comes.
type timing struct {
	gaps   int     // between contacts of one play
	even   float64 // median of how far a gap is from the one before, logarithm: 0 is a beat
	steady float64 // middle half of the time over two gaps, logarithm, as a standard deviation
}

func timingOf(cs []candidate, beliefs []belief) (t timing) {
	var at []float64
	for i := range cs {
		if beliefs[i].contact() > .5 {
			at = append(at, cs[i].at)
		}
	}
	var ratios, pairs []float64
	for i := 2; i < len(at); i++ {
		a, b := at[i-1]-at[i-2], at[i]-at[i-1]
		if a > longest || b > longest {
			continue
		}
		ratios = append(ratios, math.Abs(math.Log(b/a)))
		pairs = append(pairs, math.Log(a+b))
	}
	t.gaps = len(pairs)
	if t.gaps == 0 {
		return t
	}
	slices.Sort(ratios)
	slices.Sort(pairs)
	t.even = ratios[len(ratios)/2]
	t.steady = (pairs[len(pairs)*3/4] - pairs[len(pairs)/4]) / 1.349
	return t
}
