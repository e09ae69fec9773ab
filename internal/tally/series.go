package tally

import (
	"slices"

	"strokeledger/internal/tally/rate"
)

// series is one fault over the sessions with strokes that could have it, to be
// used again.
type series struct {
	xs   []int32 // strokes with each fault, by fault and session
	x, n []int
	// size is how many strokes of a session are of one player, as a stroke sees it: what
	// one day makes alike.
	size    []float64
	at      []float64 // months
	squares []float64 // by date
}

// table takes what the sessions have of every fault.
func (w *series) table(k *Counter, sessions []sessionCount) {
	w.xs = slices.Grow(w.xs[:0], len(k.faults)*len(sessions))[:len(k.faults)*len(sessions)]
	clear(w.xs)
	for at := range sessions {
		for _, f := range sessions[at].faults {
			w.xs[int(f.fault)*len(sessions)+at] = f.x
		}
	}
}

// fill takes one fault. books are the players of whom each session may have several;
// none stands for one player.
func (w *series) fill(k *Counter, sessions []sessionCount, fault int, books []*book) {
	own := exposureOf(k.faults[fault].Sides)
	if len(books) > 1 {
		w.squares = append(w.squares[:0], make([]float64, len(k.dates))...)
		for _, b := range books {
			for i := range b.sessions {
				n := float64(b.sessions[i].watches.strokes(fault, own))
				w.squares[b.sessions[i].day] += n * n
			}
		}
	}
	w.x, w.n, w.size, w.at = w.x[:0], w.n[:0], w.size[:0], w.at[:0]
	for i := range sessions {
		here := sessions[i].watches.strokes(fault, own)
		if here == 0 {
			continue
		}
		size := float64(here)
		if len(books) > 1 {
			size = w.squares[sessions[i].day] / size
		}
		w.x, w.n, w.size = append(w.x, int(w.xs[fault*len(sessions)+i])), append(w.n, here), append(w.size, size)
		w.at = append(w.at, k.months[sessions[i].day])
	}
}

func (w *series) line() (rate.Line, bool) { return rate.FitLine(w.x, w.n, w.size, w.at) }
