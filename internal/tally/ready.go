package tally

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// readiness of an accumulator, nil where no margin is known.
func (p *accumulator) readiness(l rate.Likeness) *group.Readiness {
	late := rate.ShareOver(p.late, l)
	if late == nil {
		return nil
	}
	r := &group.Readiness{Strokes: p.late.N, Late: *late, LateStrokes: []group.Late{}}
	r.Lower, r.Median, r.Upper = quartiles(p.margins)
	order := slices.Clone(p.lates)
	slices.SortStableFunc(order, func(a, b lateAt) int { return cmp.Compare(a.turn, b.turn) })
	for _, l := range order {
		r.LateStrokes = append(r.LateStrokes, l.Late)
	}
	return r
}

// tempo of an accumulator, nil where no turn has two strokes.
func (p *accumulator) tempo() *group.Tempo {
	if len(p.paces) == 0 {
		return nil
	}
	t := &group.Tempo{Turns: len(p.paces)}
	t.Lower, t.Median, t.Upper = quartiles(p.paces)
	if p.freely > 0 {
		t.Spread = math.Sqrt(p.uneven / float64(p.freely))
	}
	return t
}

// quartiles of values, of which there is at least one: linear between the values
// in order, as R's quantile does by default (type 7).
func quartiles(values []float64) (lower, median, upper float64) {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	at := func(p float64) float64 {
		place := p * float64(len(sorted)-1)
		i := int(place)
		if i+1 == len(sorted) {
			return sorted[i]
		}
		return sorted[i] + (place-float64(i))*(sorted[i+1]-sorted[i])
	}
	return at(0.25), at(0.5), at(0.75)
}

// lateAt is a late stroke with its turn's number.
type lateAt struct {
	group.Late
	turn int
}
