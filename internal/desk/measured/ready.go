package measured

import (
	"fmt"
	"math"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/measure"
)

// Ready is when the racket hand is back in the ready position after a stroke: as a coach
// has said, else about, as the joints show.
type Ready struct {
	Frame   int     `json:"frame"` // the picture nearest to it
	Seconds float64 `json:"seconds"`
	Half    float64 `json:"half"` // 1.96 standard deviations of Seconds
	ByCoach bool    `json:"by_coach"`
	// Never says that the hand is not back before it swings for the next stroke, which
	// Seconds is the beginning of.
	Never bool `json:"never"`
	// Margin is by how many seconds it is before the next contact, negative is late: the
	// partner's, where that is known, else the player's own. Nil where neither comes in this
	// rally.
	Margin *float64 `json:"margin"`
	Own    bool     `json:"own"` // Margin is to the player's own contact
	Say    string   `json:"say"` // a sentence without its end
}

// moments are what is known of a stroke beside its pictures, clip time; nil: not known.
type moments struct {
	answer *float64 // the partner's next contact
	ready  *float64 // as a coach has said
}

// momentsOf are those of a stroke in the ledger.
func momentsOf(v *heard.Clip, s club.Stroke) moments {
	m := moments{answer: s.Answer}
	if s.Ready != nil {
		at := v.Seconds(s.Ready.Ticks)
		m.ready = &at
	}
	return m
}

// returns are when the hand is back after each stroke of the clip, of those in its turns.
func (c *looked) returns(x *clip.Index) []measure.Return {
	out := make([]measure.Return, len(c.strokes))
	places := map[club.ID][]int{}
	for i, s := range c.strokes {
		places[s.turn] = append(places[s.turn], i)
	}
	for _, of := range places {
		var strokes []measure.Stroke
		var bodies []measure.Body
		for _, i := range of {
			strokes = append(strokes, c.strokes[i].Stroke)
			bodies = append(bodies, c.bodies(x, c.strokes[i])...)
		}
		for n, r := range measure.Returns(strokes, bodies) {
			out[of[n]] = r
		}
	}
	return out
}

// ready is when the hand is back after a stroke; nil where nobody can say. picture is how
// long one is shown, seconds.
func (s stroke) ready(r measure.Return, x *clip.Index, picture float64) *Ready {
	out := &Ready{Seconds: r.At, Half: 1.96 * r.SD, Never: r.Never}
	switch {
	case s.moments.ready != nil:
		*out = Ready{Seconds: *s.moments.ready, Half: picture, ByCoach: true}
	case !r.Told:
		return nil
	}
	out.Frame = x.FrameAt(out.Seconds)
	switch {
	case s.answer != nil && (out.ByCoach || *s.answer-s.Contact <= rally):
		m := *s.answer - out.Seconds
		out.Margin = &m
	case s.Next != 0 && s.Next-s.Contact <= rally:
		m := s.Next - out.Seconds
		out.Margin, out.Own = &m, true
	}
	out.Say = out.words()
	return out
}

// words are "hand back about 0.12 s before the partner's contact (±0.06)".
func (r *Ready) words() string {
	about := "about "
	if r.ByCoach {
		about = ""
	}
	if r.Margin == nil {
		if r.Never {
			return "hand not back"
		}
		return fmt.Sprintf("hand back %sat frame %d", about, r.Frame)
	}
	contact, side := "the partner's contact", "before"
	if r.Own {
		contact = "the next stroke"
	}
	if *r.Margin < 0 {
		side = "after"
	}
	if r.Never {
		return "hand not back before it swings for the next stroke"
	}
	return fmt.Sprintf("hand back %s%.2f s %s %s (±%.2f)", about, math.Abs(*r.Margin), side, contact, r.Half)
}

// rally is how long after a stroke the next contacts are those of the same rally, seconds:
// later another one begins (common practice, no source).
const rally = 1.5

// margin is the measure: to the partner's contact alone, since other times are not to be
// compared with it.
func (s stroke) margin(r measure.Return) (v measure.Value, ok bool) {
	if s.answer == nil || !r.Told || *s.answer-s.Contact > rally {
		return v, false
	}
	const ms = 1000
	return measure.Value{At: ms * (*s.answer - r.At), SD: ms * r.SD, Shared: ms * r.Shared, Astray: r.Astray}, true
}
