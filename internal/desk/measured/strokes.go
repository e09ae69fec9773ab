package measured

import (
	"math"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/measure"
	"strokeledger/internal/proposal"
)

// stroke is one whose pictures are looked at.
type stroke struct {
	measure.Stroke
	id     club.ID // empty: it is only heard
	turn   club.ID // empty: outside turns
	player club.ID
	frame  int
	moments

	proposed *proposal.Stroke // nil: it is in the ledger
}

// strokesOf are the strokes of a clip in order of time: those in the ledger and those
// that the sound proposes; in a clip without turns, every racket of the nearer player
// that is heard.
func strokesOf(v *heard.Clip, players []club.Player) (out []stroke) {
	hands := map[club.ID]measure.Side{}
	for _, p := range players {
		if p.Hand == club.LeftHand {
			hands[p.ID] = measure.Left
		}
	}
	for _, t := range v.Ledger.Turns {
		first := len(out)
		add := func(id club.ID, frame int, seconds float64, m moments, q *proposal.Stroke) {
			out = append(out, stroke{measure.Stroke{Contact: seconds, Racket: hands[t.PlayerID]}, id, t.ID, t.PlayerID, frame, m, q})
		}
		for _, s := range v.Answered(t).Strokes {
			add(s.ID, s.Frame, v.Seconds(s.Ticks), momentsOf(v, s), nil)
		}
		for _, s := range v.Turn(t).Strokes {
			add("", s.Frame, s.Seconds, moments{answer: s.Answer}, &s)
		}
		chained(out[first:])
	}
	if len(v.Ledger.Turns) == 0 {
		for _, c := range v.Contacts {
			if c.Kind == contact.Racket && c.Who != contact.Far {
				out = append(out, stroke{Stroke: measure.Stroke{Contact: c.Seconds}, frame: v.FrameNear(c.Seconds)})
			}
		}
		chained(out)
	}
	slices.SortStableFunc(out, byTime)
	return out
}

func byTime(a, b stroke) int { return a.frame - b.frame }

// chained puts strokes of one player in order and gives each its next.
func chained(s []stroke) {
	slices.SortStableFunc(s, byTime)
	for i := range s[:max(0, len(s)-1)] {
		s[i].Next = s[i+1].Contact
	}
}

// mostFrames is how many pictures of a span are looked at: at 50 pictures a second all
// of them.
const mostFrames = 7

// wayEvery is how close together the pictures are in which a hand comes back, seconds.
const wayEvery = .08

// frames are the pictures that a stroke is measured in, in order, each once.
func (s stroke) frames(x *clip.Index) (out []int) {
	for m, span := range s.Spans() {
		most := mostFrames
		if m == club.ReadyMargin {
			most = max(most, 1+int(math.Round((span.To-span.From)/wayEvery)))
		}
		first, last := x.FrameAt(span.From), x.FrameAt(span.To)
		if first < x.Len() && x.Seconds(max(0, first)) < span.From {
			first++
		}
		first, last = max(0, first), min(last, x.Len()-1)
		n := last - first + 1
		for i := range min(n, most) {
			at := first
			if n > most {
				at += int(math.Round(float64(i*(n-1)) / float64(most-1)))
			} else {
				at += i
			}
			out = append(out, at)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
