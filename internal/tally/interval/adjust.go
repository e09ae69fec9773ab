package interval

import "sort"

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
