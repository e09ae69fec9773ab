package agreement

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/interval"
)

// Limits of agreement say within which 95 of 100 differences between two readings lie.
type Limits struct {
	N    int               `json:"n"`
	Mean float64           `json:"mean"` // second less first
	SD   float64           `json:"sd"`
	Low  float64           `json:"low"`  // Mean - 1.96 SD
	High float64           `json:"high"` // Mean + 1.96 SD
	Bias interval.Interval `json:"bias"` // of Mean, 95 %
	// Ends are how sure the two limits themselves are, 95 %.
	LowEnd  interval.Interval `json:"low_end"`
	HighEnd interval.Interval `json:"high_end"`
}

// LimitsOf are those of some differences. It is not ok for fewer than two.
//
// Source: Bland JM, Altman DG (1986) "Statistical methods for assessing agreement
// between two methods of clinical measurement", Lancet i:307-310: the standard error of
// a limit is about the square root of 3/n standard deviations. They take 2 standard
// deviations for 95 %; 1.96 is meant.
func LimitsOf(differences []float64) (l Limits, ok bool) {
	l.N = len(differences)
	if l.N < 2 {
		return l, false
	}
	n := float64(l.N)
	for _, d := range differences {
		l.Mean += d / n
	}
	for _, d := range differences {
		l.SD += (d - l.Mean) * (d - l.Mean)
	}
	l.SD = math.Sqrt(l.SD / (n - 1))
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975)
	around := func(v, se float64) interval.Interval { return interval.Interval{Low: v - t*se, High: v + t*se} }
	l.Low, l.High = l.Mean-interval.Z*l.SD, l.Mean+interval.Z*l.SD
	l.Bias = around(l.Mean, l.SD/math.Sqrt(n))
	l.LowEnd, l.HighEnd = around(l.Low, l.SD*math.Sqrt(3/n)), around(l.High, l.SD*math.Sqrt(3/n))
	return l, true
}

// Middle are the median and the middle half of some numbers.
type Middle struct {
	N      int     `json:"n"`
	Median float64 `json:"median"`
	Low    float64 `json:"low"`  // a quarter lies below
	High   float64 `json:"high"` // a quarter lies above
}

// MiddleOf is that of some numbers, which it puts in order; between two of them it goes
// in a straight line.
func MiddleOf(numbers []float64) Middle {
	slices.Sort(numbers)
	at := func(p float64) float64 {
		place := p * float64(len(numbers)-1)
		i := int(place)
		if i+1 >= len(numbers) {
			return numbers[len(numbers)-1]
		}
		return numbers[i] + (place-float64(i))*(numbers[i+1]-numbers[i])
	}
	if len(numbers) == 0 {
		return Middle{}
	}
	return Middle{len(numbers), at(0.5), at(0.25), at(0.75)}
}
