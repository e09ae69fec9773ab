package measure

import (
	"math"
	"slices"
)

// Shown is how many strokes of each sort have to be shown before a limit is believed.
const Shown = 5

// LimitOf is the limit half way between the middles of clean and of faulty strokes: a
// value below it is beyond it. ok is false where fewer than [Shown] of each were shown,
// or the faulty ones do not lie below the clean ones: then this measure does not tell
// them apart.
func LimitOf(clean, faulty []float64) (limit float64, ok bool) {
	if len(clean) < Shown || len(faulty) < Shown {
		return 0, false
	}
	high, _ := median(slices.Clone(clean))
	low, _ := median(slices.Clone(faulty))
	return (high + low) / 2, low < high
}

// Beyond is the chance that the stroke itself, without the error of measuring it, lies
// beyond a limit, and whether it is sure enough to be suggested: beyond by more than its
// error. Errors are taken as normal but for the strokes whose value is astray, of which as
// many are beyond as of any (drawn clubs: one in ten).
func (v Value) Beyond(limit float64) (chance float64, suggested bool) {
	const any = .1
	z := (limit - v.At) / v.SD
	return (1-v.Astray)*.5*math.Erfc(-z/math.Sqrt2) + v.Astray*any, z >= 1
}
