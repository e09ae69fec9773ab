package tally

import (
	"slices"

	"strokeledger/internal/club"
)

// rememberedTurn remembers a turn for its row of strokes. Its slices are used
// again.
type rememberedTurn struct {
	turn             club.Turn
	date             club.Date
	target           int
	longest, current int
	strokes          []rememberedStroke
	hits             []hit
}

type rememberedStroke struct {
	frame   int
	side    club.Side
	outcome club.Outcome
}

// rememberTurn remembers a turn with strokes where it is the latest, or the best so
// far. Turns come in order of date.
func (b *book) rememberTurn(k *Counter, r *club.TurnRecord, target int, run run) {
	keep := func(to *rememberedTurn) {
		to.turn, to.date, to.target, to.longest, to.current = r.Turn, r.Date, target, run.longest, run.current
		to.strokes = to.strokes[:0]
		for i := range r.Strokes {
			to.strokes = append(to.strokes, rememberedStroke{r.Strokes[i].Frame, k.sides[i], r.Strokes[i].Outcome})
		}
		to.hits = append(to.hits[:0], k.hits...)
	}
	keep(&b.latest)
	if b.best.turn.ID == "" || run.longest > b.best.longest {
		keep(&b.best)
	}
}

// row is the picture of the turn, nil where none is remembered.
func (b *rememberedTurn) row(faults []club.Fault) *StrokeRow {
	if b.turn.ID == "" {
		return nil
	}
	row := &StrokeRow{
		TurnID: b.turn.ID, ClipID: b.turn.ClipID, DrillID: b.turn.DrillID, Date: b.date, Frame: b.turn.First,
		Target: b.target, Longest: b.longest, Current: b.current, Strokes: make([]RowStroke, len(b.strokes)),
	}
	for i, s := range b.strokes {
		row.Strokes[i] = RowStroke{Frame: s.frame, Side: s.side, Outcome: s.outcome, Faults: []string{}}
	}
	for _, h := range b.hits {
		at := &row.Strokes[h.stroke]
		if code := faults[h.fault].Code; !slices.Contains(at.Faults, code) {
			at.Faults = append(at.Faults, code)
		}
	}
	return row
}
