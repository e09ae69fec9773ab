package measure

import (
	"math"
	"slices"
)

// Shown is how many strokes of each sort have to be shown before a limit is believed.
const Shown = 5

// Limit is what parts clean strokes from faulty ones: a value below At is beyond it.
type Limit struct {
	At float64
	// Spread is the standard deviation of strokes of one sort round their own middle,
	// the measure's error in it. Overlap is the share of those shown that lie on the
	// wrong side.
	Spread, Overlap float64
}

// LimitOf is the limit half way between the middles of clean and of faulty strokes. ok
// is false where fewer than [Shown] of each were shown, or the faulty ones do not lie
// below the clean ones: then this measure does not tell them apart.
func LimitOf(clean, faulty []float64) (l Limit, ok bool) {
	if len(clean) < Shown || len(faulty) < Shown {
		return Limit{}, false
	}
	high, _ := median(slices.Clone(clean))
	low, _ := median(slices.Clone(faulty))
	if low >= high {
		return Limit{}, false
	}
	l.At = (high + low) / 2
	sum := 0.
	for _, v := range clean {
		sum += (v - high) * (v - high)
		if v < l.At {
			l.Overlap++
		}
	}
	for _, v := range faulty {
		sum += (v - low) * (v - low)
		if v >= l.At {
			l.Overlap++
		}
	}
	n := float64(len(clean) + len(faulty))
	l.Spread = math.Sqrt(sum / (n - 2))
	l.Overlap /= n
	return l, true
}

// Beyond is the chance that the stroke itself, without the error of measuring it, lies
// beyond a limit, and whether it is sure enough to be suggested: beyond by more than its
// error. Errors are taken as normal, but for one stroke in fifty whose joints are
// somebody else's (drawn clubs: 1 of 205).
func (v Value) Beyond(limit float64) (chance float64, suggested bool) {
	const astray = .02
	z := (limit - v.At) / v.SD
	return (1-astray)*.5*math.Erfc(-z/math.Sqrt2) + astray/2, z >= 1
}
