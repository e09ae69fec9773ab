package tally

import (
	"slices"

	"strokeledger/internal/club"
)

// bead remembers a turn for its row of beads. Its slices are used again.
type bead struct {
	turn             club.Turn
	date             club.Date
	target           int
	longest, current int
	strokes          []beadStroke
	hits             []hit
}

type beadStroke struct {
	frame   int
	side    club.Side
	outcome club.Outcome
}

// addBeads remembers a turn with strokes where it is the latest, or the best so
// far. Turns come in order of date.
func (b *book) addBeads(k *Counter, r *club.TurnRecord, target int, run run) {
	keep := func(to *bead) {
		to.turn, to.date, to.target, to.longest, to.current = r.Turn, r.Date, target, run.longest, run.current
		to.strokes = to.strokes[:0]
		for i := range r.Strokes {
			to.strokes = append(to.strokes, beadStroke{r.Strokes[i].Frame, k.sides[i], r.Strokes[i].Outcome})
		}
		to.hits = append(to.hits[:0], k.hits...)
	}
	keep(&b.latest)
	if b.best.turn.ID == "" || run.longest > b.best.longest {
		keep(&b.best)
	}
}

// row is the picture of the turn, nil where none is remembered.
func (b *bead) row(faults []club.Fault) *BeadRow {
	if b.turn.ID == "" {
		return nil
	}
	row := &BeadRow{
		TurnID: b.turn.ID, ClipID: b.turn.ClipID, DrillID: b.turn.DrillID, Date: b.date, Frame: b.turn.First,
		Target: b.target, Longest: b.longest, Current: b.current, Beads: make([]Bead, len(b.strokes)),
	}
	for i, s := range b.strokes {
		row.Beads[i] = Bead{Frame: s.frame, Side: s.side, Outcome: s.outcome, Faults: []string{}}
	}
	for _, h := range b.hits {
		at := &row.Beads[h.stroke]
		if code := faults[h.fault].Code; !slices.Contains(at.Faults, code) {
			at.Faults = append(at.Faults, code)
		}
	}
	return row
}
