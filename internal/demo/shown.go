package demo

import "strokeledger/internal/club"

// shownStroke is what happened on a stroke.
type shownStroke struct {
	Outcome club.Outcome
	Faults  []shownFault
}

// shownFault is a fault with the picture in which it is plain to see.
type shownFault struct {
	Code  string // of the starter catalogue
	Frame int
}

// Shown is what happened on each stroke of a turn, in order; none where the strokes are
// not in the ledger.
func (s *Scene) Shown(t club.Turn) (all []shownStroke) {
	codes := map[way]string{}
	for code, w := range acted() {
		codes[w] = code
	}
	for i := range s.acts {
		a := &s.acts[i]
		if a.empty || a.unheard || a.turn.ID != t.ID {
			continue
		}
		for n, d := range a.strokes {
			shown := shownStroke{Outcome: d.outcome()}
			for _, w := range d.faults {
				shown.Faults = append(shown.Faults, shownFault{codes[w], s.Frame(a.seen(n, w))})
			}
			all = append(all, shown)
		}
	}
	return all
}
