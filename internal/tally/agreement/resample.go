package agreement

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/interval"
)

// draws is how often the turns are drawn: the ends of the interval then move by less
// than a fiftieth of its width from seed to seed.
const draws = 1000

// fewestTurns is how many turns an interval needs that draws them: with fewer it covers
// too little (chosen by TestIntervalsCover).
const fewestTurns = 8

// Coefficient is one of a Counts' numbers.
type Coefficient func(Counts) (float64, bool)

// Around returns the 95 % interval of a coefficient over turns, by drawing whole turns
// with replacement: strokes of one turn are alike. Its ends are corrected for bias and
// skewness. The same seed gives the same interval. It is not ok with fewer than eight
// turns, where the two never differed, or where the coefficient is missing in one of
// twenty draws.
//
// Sources: Davison AC, Hinkley DV (1997) Bootstrap Methods and their Application, 3.8 for
// drawing whole clusters; Efron B (1987) "Better bootstrap confidence intervals", J Am
// Stat Assoc 82:171-185 for the correction; Hesterberg TC (2015) "What teachers should
// know about the bootstrap", Am Stat 69:371-386, 5.3 for the wider tails with few turns.
func Around(turns []Counts, of Coefficient, seed uint64) (interval.Interval, bool) {
	all, differ := make([]sums, len(turns)), false
	for i, c := range turns {
		all[i] = sums{float64(c.Both), float64(c.First), float64(c.Second), float64(c.Neither)}
		differ = differ || c.First+c.Second > 0
	}
	return around(all, differ, seed, func(s sums) (float64, bool) {
		return of(Counts{int(s[0]), int(s[1]), int(s[2]), int(s[3])})
	})
}

// sums are what a coefficient is worked out from, and add up over turns.
type sums [4]float64

func (s *sums) add(o sums, times float64) {
	for i, v := range o {
		s[i] += times * v
	}
}

func around(turns []sums, differ bool, seed uint64, of func(sums) (float64, bool)) (interval.Interval, bool) {
	var sum sums
	for _, t := range turns {
		sum.add(t, 1)
	}
	value, ok := of(sum)
	if !ok || len(turns) < fewestTurns || !differ {
		return interval.Interval{}, false
	}
	random := rand.New(rand.NewPCG(seed, 0x5eed))
	found := make([]float64, 0, draws)
	for range draws {
		var drawn sums
		for range turns {
			drawn.add(turns[random.IntN(len(turns))], 1)
		}
		if v, ok := of(drawn); ok {
			found = append(found, v)
		}
	}
	if len(found) < draws*19/20 {
		return interval.Interval{}, false
	}
	slices.Sort(found)
	normal := distuv.UnitNormal
	below := float64(lessThan(found, value)) / float64(len(found))
	below = min(max(below, 0.5/float64(len(found))), 1-0.5/float64(len(found)))
	bias, skew := normal.Quantile(below), acceleration(turns, sum, of)
	n := float64(len(turns))
	tail := math.Sqrt(n/(n-1)) * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975)
	at := func(z float64) float64 {
		p := normal.CDF(bias + (bias+z)/(1-skew*(bias+z)))
		return found[min(max(int(p*float64(len(found))), 0), len(found)-1)]
	}
	return interval.Interval{Low: min(at(-tail), value), High: max(at(tail), value)}, true
}

// lessThan counts numbers below v, half of those equal to it.
func lessThan(sorted []float64, v float64) int {
	from, _ := slices.BinarySearch(sorted, v)
	to := from
	for to < len(sorted) && sorted[to] == v {
		to++
	}
	return (from + to) / 2
}

// acceleration is how the coefficient's spread changes with its value: a sixth of the
// skewness of what leaving one turn out does.
func acceleration(turns []sums, sum sums, of func(sums) (float64, bool)) float64 {
	var left []float64
	mean := 0.0
	for _, t := range turns {
		without := sum
		without.add(t, -1)
		if v, ok := of(without); ok {
			left = append(left, v)
			mean += v
		}
	}
	mean /= float64(len(left))
	squares, cubes := 0.0, 0.0
	for _, v := range left {
		d := mean - v
		squares += d * d
		cubes += d * d * d
	}
	if squares == 0 {
		return 0
	}
	return cubes / (6 * math.Pow(squares, 1.5))
}
