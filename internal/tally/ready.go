package tally

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
)

// Readiness is how long before the partner's next contact the player was back in
// the ready position. A margin is in seconds, negative is late.
type Readiness struct {
	Strokes     int        `json:"strokes"`      // with both moments known
	Median      float64    `json:"median"`       // of the margins
	Lower       float64    `json:"lower"`        // quartile
	Upper       float64    `json:"upper"`        // quartile
	Late        rate.Share `json:"late"`         // strokes with a margin below nought
	LateStrokes []Late     `json:"late_strokes"` // the strokes behind Late, in order of date, clip and frame; empty in a lean summary
}

// Late is one stroke after which the player was late.
type Late struct {
	ClipID     club.ID `json:"clip_id"`
	TurnID     club.ID `json:"turn_id"`
	StrokeID   club.ID `json:"stroke_id"`
	Frame      int     `json:"frame"`       // of the stroke
	ReadyFrame int     `json:"ready_frame"` // of being ready, after the partner's contact
	ReadyTicks int64   `json:"ready_ticks"`
	Margin     float64 `json:"margin"` // seconds, negative
	Marked     bool    `json:"marked"` // a fault of the ready or recovery phase hangs on it; else a mark may be proposed
}

// Tempo is how fast a player's own strokes follow one another: strokes a minute
// of each turn, from its first stroke to its last.
type Tempo struct {
	Turns  int     `json:"turns"`  // with two strokes or more
	Median float64 `json:"median"` // strokes a minute, over the turns
	Lower  float64 `json:"lower"`  // quartile
	Upper  float64 `json:"upper"`  // quartile
	// Spread is how uneven the strokes come inside a turn: the standard deviation
	// of the gaps round their turn's mean, as a part of the mean gap. 0 is even.
	Spread float64 `json:"spread"`
}

// readiness of an accumulator, nil where no margin is known.
func (p *accumulator) readiness(l rate.Likeness) *Readiness {
	late := rate.ShareOver(p.late, l)
	if late == nil {
		return nil
	}
	r := &Readiness{Strokes: p.late.N, Late: *late, LateStrokes: []Late{}}
	r.Lower, r.Median, r.Upper = quartiles(p.margins)
	order := slices.Clone(p.lates)
	slices.SortStableFunc(order, func(a, b lateAt) int { return cmp.Compare(a.turn, b.turn) })
	for _, l := range order {
		r.LateStrokes = append(r.LateStrokes, l.Late)
	}
	return r
}

// tempo of an accumulator, nil where no turn has two strokes.
func (p *accumulator) tempo() *Tempo {
	if len(p.paces) == 0 {
		return nil
	}
	t := &Tempo{Turns: len(p.paces)}
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
	Late
	turn int
}
