package tally

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
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
func (b *book) rememberTurn(k *Counter, r *club.TurnRecord, target int, run climb.Run) {
	keep := func(to *rememberedTurn) {
		to.turn, to.date, to.target, to.longest, to.current = r.Turn, r.Date, target, run.Longest, run.Current
		to.strokes = to.strokes[:0]
		for i := range r.Strokes {
			to.strokes = append(to.strokes, rememberedStroke{r.Strokes[i].Frame, k.sides[i], r.Strokes[i].Outcome})
		}
		to.hits = append(to.hits[:0], k.hits...)
	}
	keep(&b.latest)
	if b.best.turn.ID == "" || run.Longest > b.best.longest {
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

// StrokeRow is one turn, stroke by stroke.
type StrokeRow struct {
	TurnID  club.ID     `json:"turn_id"`
	ClipID  club.ID     `json:"clip_id"`
	DrillID club.ID     `json:"drill_id"`
	Date    club.Date   `json:"date"`
	Frame   int         `json:"frame"` // where the turn starts
	Target  int         `json:"target"`
	Longest int         `json:"longest"`
	Current int         `json:"current"`
	Strokes []RowStroke `json:"beads"`
}

// RowStroke is one stroke.
type RowStroke struct {
	Frame   int          `json:"frame"`
	Side    club.Side    `json:"side"`
	Outcome club.Outcome `json:"outcome"`
	Faults  []string     `json:"faults"` // codes, in order of the marks
}
