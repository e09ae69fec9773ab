package demo

import (
	"slices"
	"sort"
	"time"

	"strokeledger/internal/club"
)

// slip is one place where a coach's entry departs from the truth, as people's
// entries do.
type slip struct {
	Kind   string  `json:"kind"` // "missed", "frame", "code" or "extra"; "ready": the moment of a stroke
	ClipID club.ID `json:"clip_id"`
	Stroke club.ID `json:"stroke_id,omitempty"` // whose ready moment it is
	MarkID club.ID `json:"mark_id,omitempty"`   // empty where nothing was marked
	Code   string  `json:"code,omitempty"`      // the fault that was there; empty for extra
	Frame  int     `json:"frame"`               // where it was, or for extra where the mark is
	Wrote  string  `json:"wrote,omitempty"`     // the code that was marked
	At     int     `json:"at,omitempty"`        // the frame that was marked, or noted as the ready moment
}

// How often people slip: shares of all faults, chosen for the demo, no source.
const (
	slipMissed = 0.05
	slipFrame  = 0.04
	slipCode   = 0.025
	slipExtra  = 0.012 // of all strokes
)

// enter writes down what a coach saw in a clip: turns, strokes and, with a few
// slips, the faults.
func (m *maker) enter(s *Scene, by club.Coach) {
	for i := range s.acts {
		a := &s.acts[i]
		a.turn.ID = m.mint.id()
		a.turn.FirstTicks, a.turn.LastTicks = s.Ticks(a.turn.First), s.Ticks(a.turn.Last)
		s.Turns = append(s.Turns, a.turn)
		for _, d := range a.strokes {
			if a.unheard {
				break
			}
			stroke := club.Stroke{ID: m.mint.id(), ClipID: s.ClipID, Frame: s.Frame(d.t), Outcome: d.outcome(),
				Source: club.ByHand, Confidence: 1, CoachID: by.ID}
			stroke.Ticks = s.Ticks(stroke.Frame)
			if a.drill.Pattern == "" {
				stroke.Side = d.side // nobody could tell it from the drill
			}
			s.Strokes = append(s.Strokes, stroke)
		}
		for n, d := range a.strokes {
			for _, w := range d.faults {
				m.mark(s, by, a, n, w)
			}
			if m.rng.Float64() < slipExtra {
				m.extra(s, by, d)
			}
		}
	}
	sort.SliceStable(s.Marks, func(i, j int) bool { return s.Marks[i].Frame < s.Marks[j].Frame })
}

func (m *maker) mark(s *Scene, by club.Coach, a *act, n int, w way) {
	fault := m.codes[w]
	slip := slip{ClipID: s.ClipID, Code: fault.Code, Frame: s.Frame(a.seen(n, w))}
	frame := slip.Frame
	switch chance := m.rng.Float64(); {
	case chance < slipMissed:
		slip.Kind = "missed"
		m.club.Slips = append(m.club.Slips, slip)
		return
	case chance < slipMissed+slipFrame:
		slip.Kind = "frame"
		frame += []int{-2, -1, 1, 2}[m.rng.IntN(4)]
	case chance < slipMissed+slipFrame+slipCode:
		slip.Kind = "code"
		fault = m.other(w, a.strokes[n])
	}
	mark := m.write(s, by, fault, frame)
	if slip.Kind != "" {
		slip.MarkID, slip.Wrote, slip.At = mark.ID, fault.Code, mark.Frame
		m.club.Slips = append(m.club.Slips, slip)
	}
}

// other is a fault that could have been on the stroke, but was not.
func (m *maker) other(w way, d drive) club.Fault {
	var choice []way
	for _, o := range ways() {
		if o != w && !has(d.faults, o) && o.sides().Could(d.side) {
			choice = append(choice, o)
		}
	}
	return m.codes[choice[m.rng.IntN(len(choice))]]
}

func (m *maker) extra(s *Scene, by club.Coach, d drive) {
	if len(d.faults) == len(ways()) {
		return
	}
	fault := m.other("", d)
	mark := m.write(s, by, fault, s.Frame(d.t))
	m.club.Slips = append(m.club.Slips, slip{Kind: "extra", ClipID: s.ClipID, MarkID: mark.ID, Frame: mark.Frame, Wrote: fault.Code, At: mark.Frame})
}

func (m *maker) write(s *Scene, by club.Coach, fault club.Fault, frame int) club.Mark {
	mark := club.Mark{ID: m.mint.id(), ClipID: s.ClipID, FaultID: fault.ID, CoachID: by.ID, Frame: frame, Ticks: s.Ticks(frame),
		Source: club.ByHand, Confidence: 1, Made: m.mint.at.Truncate(time.Millisecond)}
	s.Marks = append(s.Marks, mark)
	return mark
}

// outcome is the stroke's in the club's words.
func (d drive) outcome() club.Outcome {
	if d.missed {
		return club.Missed
	}
	return club.Good
}

// seen is when a fault of the n-th stroke of a turn is plain to see. It always
// lies nearer to its own stroke than to any other.
func (a *act) seen(n int, w way) float64 {
	d := a.strokes[n]
	switch w {
	case late:
		return d.t + 0.40*a.room(n)
	case bigSwing:
		return d.t - 0.18
	case upright:
		return d.t - 0.10
	}
	return d.t
}

func sortContacts(c []Contact) {
	slices.SortStableFunc(c, func(a, b Contact) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
}
