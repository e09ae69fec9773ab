package demo

import (
	"math/rand/v2"
	"slices"

	"strokeledger/internal/club"
)

// watched says for which faults a turn was looked through; nil for all of them, an
// empty list for a turn that nobody has looked at.
type watched []way

// looks writes down what the coach has looked through, and takes out again what
// this coach cannot have marked. Its chance is its own, so that nothing else of the
// club depends on it.
func (m *maker) looks(s *Scene, by club.Coach) {
	own := &mint{rng: rand.New(rand.NewPCG(s.Seed, 0x6c6f6f6b)), at: m.mint.at}
	for i := range s.acts {
		a := &s.acts[i]
		faults := m.lookedFor(a.watched)
		m.unsee(s, a.turn, faults)
		if len(faults) > 0 {
			s.Looks = append(s.Looks, club.Look{ID: own.id(), ClipID: s.ClipID, CoachID: by.ID, First: a.turn.First, Last: a.turn.Last,
				FirstTicks: s.Ticks(a.turn.First), LastTicks: s.Ticks(a.turn.Last), Faults: faults, Made: own.at})
		}
	}
}

// unsee takes out of a turn the marks of faults that were not looked for, and their
// slips: of two codes that were taken for one another one may be left.
func (m *maker) unsee(s *Scene, t club.Turn, faults []club.ID) {
	unseen := func(fault club.ID) bool { return !slices.Contains(faults, fault) }
	s.Marks = slices.DeleteFunc(s.Marks, func(k club.Mark) bool { return t.Covers(k.Frame) && unseen(k.FaultID) })
	var left []slip
	for _, l := range m.club.Slips {
		if l.ClipID == s.ClipID && t.Covers(l.Frame) {
			was, wrote := l.Code != "" && !unseen(m.idOf(l.Code)), l.Wrote != "" && !unseen(m.idOf(l.Wrote))
			switch {
			case l.Kind == "code" && was && !wrote:
				l = slip{Kind: "missed", ClipID: l.ClipID, Code: l.Code, Frame: l.Frame}
			case l.Kind == "code" && wrote && !was:
				l = slip{Kind: "extra", ClipID: l.ClipID, MarkID: l.MarkID, Frame: l.At, Wrote: l.Wrote, At: l.At}
			case !was && !wrote && l.Kind != "ready":
				continue
			}
		}
		left = append(left, l)
	}
	m.club.Slips = left
}

func (m *maker) idOf(code string) club.ID {
	for _, f := range m.club.Catalogue.Faults {
		if f.Code == code {
			return f.ID
		}
	}
	return ""
}

// lookedFor lists the faults, in the order of the catalogue.
func (m *maker) lookedFor(ways watched) (faults []club.ID) {
	for _, f := range m.club.Catalogue.Faults {
		w, plays := acted()[f.Code]
		if ways == nil || plays && slices.Contains(ways, w) {
			faults = append(faults, f.ID)
		}
	}
	return faults
}
