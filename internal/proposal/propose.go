package proposal

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// Stroke is a stroke that was heard in a turn and that no coach has taken over.
// It is worked out from the contacts each time and stored nowhere.
type Stroke struct {
	Frame   int       `json:"frame"`   // the picture nearest to the contact
	Seconds float64   `json:"seconds"` // of the contact, clip time
	Side    club.Side `json:"side"`    // as the drill's pattern says, or else the joints; empty: neither does
	// SideChance is that of a side that only the joints say, 0 to 1; 0: the pattern says
	// it, or nothing does.
	SideChance float64      `json:"side_chance"`
	Seen       bool         `json:"seen"`       // heard and seen; else only heard
	Outcome    club.Outcome `json:"outcome"`    // good where the ball was heard on the other side
	Confidence float64      `json:"confidence"` // 0 to 1, of contact and outcome together
	Answer     *float64     `json:"answer"`     // the partner's next contact, clip time
}

// Times of play, seconds.
const (
	// SameStroke is how far a logged stroke and a heard contact may be apart and
	// still be one: a coach logs at a picture beside the contact, and nobody plays
	// twice within twice this time.
	SameStroke = 0.12
	// SameContact is how far a picture of a stroke may be from the contact that is
	// heard: a picture and a half at 25 a second, and well below the way from the
	// bounce to the racket.
	SameContact = 0.06
	// DeadAfter is the longest that the ball takes from a racket to the other half
	// or the other racket: 0.10 to 0.40 s each as a rule, and high balls longer.
	DeadAfter = 0.9
	// AnswerWithin is the longest that the partner's next contact is waited for.
	AnswerWithin = 2.5
)

// UsualConfidence is the least confidence proposed where a coach has set none: the
// detector gives contacts of 0.5 and more a kind.
const UsualConfidence = 0.5

// Play is a turn as the proposals need it. Times are clip time.
type Play struct {
	From, To float64           // the turn
	Logged   []float64         // strokes that are logged already, in order
	Fed      bool              // multiball: the feeder's next ball says nothing of the last
	Player   contact.Who       // which of the two that are heard is the turn's player
	Least    float64           // confidence
	Contacts []contact.Contact // of the whole clip, in order
	// Struck are the player's contacts where they are known from more than these, with
	// their confidence; nil: they are not.
	Struck []contact.Contact
}

// Strokes returns the strokes of the turn that were heard and are not logged, in
// order of time, without frames and sides.
func Strokes(p Play) []Stroke {
	struck := p.struck()
	usual := p.flight(struck)
	if !p.Fed {
		usual = p.landing(struck)
	}
	var out []Stroke
	for n, c := range struck {
		until := c.Seconds + AnswerWithin
		if n+1 < len(struck) {
			until = min(until, struck[n+1].Seconds)
		}
		q := Stroke{Seconds: c.Seconds, Answer: p.Answer(c.Seconds, until)}
		sure := 0.0
		q.Outcome, sure = p.outcome(c.Seconds, min(until, c.Seconds+DeadAfter), usual)
		q.Confidence = math.Min(c.Confidence, sure)
		if !p.isLogged(c.Seconds) {
			out = append(out, q)
		}
	}
	return out
}

// struck are the player's contacts in the turn. Below the usual confidence the
// detector does not say who it was: such a sound counts where the player has no
// other contact near it.
func (p Play) struck() []contact.Contact {
	if p.Struck != nil {
		return slices.DeleteFunc(slices.Clone(p.Struck), func(c contact.Contact) bool { return c.Confidence < p.Least })
	}
	in := Span(p.Contacts, p.From, p.To)
	var sure []contact.Contact
	for _, c := range in {
		if c.Kind == contact.Racket && c.Who == p.Player && c.Confidence >= p.Least {
			sure = append(sure, c)
		}
	}
	all := slices.Clone(sure)
	for _, c := range in {
		if c.Kind == contact.Other && c.Confidence >= p.Least &&
			!slices.ContainsFunc(all, func(o contact.Contact) bool { return math.Abs(o.Seconds-c.Seconds) < 3*SameStroke }) {
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b contact.Contact) int { return cmp.Compare(a.Seconds, b.Seconds) })
	return all
}

// flight is how long a ball that is fed usually takes from the player's racket to
// the other half: the middle of the stretch, twice spread long, in which most
// strokes of the turn are followed by a bounce; NaN where it is of no use. Balls
// that are fed one after the other sound through each other, so that neither the
// order nor the side says for sure whose bounce it was; one that seems to be on the
// other half weighs twice, since the next ball bounces at its usual time as well.
func (p Play) flight(struck []contact.Contact) float64 {
	const enough = 4
	if !p.Fed || len(struck) < enough {
		return math.NaN()
	}
	type bounce struct{ after, weight float64 }
	var all []bounce
	for _, s := range struck {
		for _, c := range Span(p.Contacts, s.Seconds+.05, s.Seconds+DeadAfter) {
			switch {
			case c.Kind != contact.Bounce:
			case c.Who == p.Player:
				all = append(all, bounce{c.Seconds - s.Seconds, 1})
			default:
				all = append(all, bounce{c.Seconds - s.Seconds, 2})
			}
		}
	}
	slices.SortFunc(all, func(a, b bounce) int { return cmp.Compare(a.after, b.after) })
	best, most := math.NaN(), 0.
	for i := range all {
		weight, j := 0., i
		for ; j < len(all) && all[j].after <= all[i].after+2*spread; j++ {
			weight += all[j].weight
		}
		if weight > most {
			best, most = all[(i+j-1)/2].after, weight
		}
	}
	if most < float64(len(struck)) { // not even every second stroke
		return math.NaN()
	}
	return best
}

// spread is how much earlier or later than usual a ball that is fed may bounce on
// the other half. Chosen on the invented club (TestDemoAgreesWithTruth): 0.04 to 0.05 do alike.
const spread = 0.045

// landing is how long a ball that is answered usually takes from the player's racket to
// the other half; NaN where that differs so much that a ball beside the table could take
// as long as one on it. Its figures were chosen on the invented club
// (TestDemoAgreesWithTruth).
func (p Play) landing(struck []contact.Contact) float64 {
	const enough, steady = 4, .06 // strokes; a spread of the logarithm
	var all []float64
	for _, s := range struck {
		after := Span(p.Contacts, s.Seconds+.05, s.Seconds+AnswerWithin)
		if len(after) > 1 && after[0].Kind == contact.Bounce && after[0].Who != p.Player &&
			after[1].Kind == contact.Racket && after[1].Who != p.Player {
			all = append(all, math.Log(after[0].Seconds-s.Seconds))
		}
	}
	if len(all) < enough {
		return math.NaN()
	}
	slices.Sort(all)
	n := len(all)
	if (all[n-1-n/4]-all[n/4])/1.349 > steady { // the middle half as a standard deviation
		return math.NaN()
	}
	return math.Exp(all[n/2])
}

// outside is how much later or earlier than usual, as a logarithm, the last ball of a
// rally comes down where it has missed the table: more than three times steady.
const outside = .2

// outcome is good where the ball was heard on the other side before a time, with
// how sure that is.
func (p Play) outcome(struck, until, usual float64) (club.Outcome, float64) {
	const (
		silence = 0.9 // nothing came of it
		muddled = 0.6 // something else was heard instead
	)
	if p.Fed && !math.IsNaN(usual) {
		for _, c := range Span(p.Contacts, struck+usual-spread, struck+usual+spread) {
			if c.Kind == contact.Bounce {
				return club.Good, math.Min(c.Confidence, .8)
			}
		}
		return club.Missed, muddled
	}
	for _, c := range Span(p.Contacts, struck+.05, until) {
		switch {
		case c.Kind == contact.Bounce && !p.answered(c.Seconds) && math.Abs(math.Log((c.Seconds-struck)/usual)) > outside: // the floor
		case c.Kind == contact.Other, c.Who == p.Player: // a serve, or the ball came back from the net
		case p.Fed && c.Kind == contact.Racket: // the next ball
		default:
			return club.Good, c.Confidence
		}
	}
	if len(p.rally(struck+.05, until)) > 0 {
		return club.Missed, muddled
	}
	return club.Missed, silence
}

// rally are the contacts between two times that belong to play.
func (p Play) rally(from, to float64) []contact.Contact {
	return slices.DeleteFunc(slices.Clone(Span(p.Contacts, from, to)), func(c contact.Contact) bool { return c.Kind == contact.Other })
}

// Answer is the partner's first contact after a time.
func (p Play) Answer(after, until float64) *float64 {
	for _, c := range Span(p.Contacts, after+.05, until) {
		if c.Kind == contact.Racket && c.Who != p.Player {
			at := c.Seconds
			return &at
		}
	}
	return nil
}

// answered reports whether the partner strikes the ball that has bounced.
func (p Play) answered(bounce float64) bool { return p.Answer(bounce, bounce+DeadAfter) != nil }

func (p Play) isLogged(at float64) bool {
	i, found := slices.BinarySearch(p.Logged, at)
	return found || i > 0 && at-p.Logged[i-1] < SameStroke || i < len(p.Logged) && p.Logged[i]-at < SameStroke
}

// Striker is who struck at a moment, the nearest racket contact within
// sameStroke; contact.Unknown where none is heard there.
func Striker(contacts []contact.Contact, at float64) contact.Who {
	near, who := SameStroke, contact.Unknown
	for _, c := range Span(contacts, at-SameStroke, at+SameStroke) {
		if d := math.Abs(c.Seconds - at); c.Kind == contact.Racket && c.Who != contact.Unknown && d < near {
			near, who = d, c.Who
		}
	}
	return who
}

// Confidence is how sure the contact nearest to a moment is; 1 where none was
// heard there, since a coach has set it.
func Confidence(contacts []contact.Contact, at float64) float64 {
	near, sure := .01, 1.
	for _, c := range Span(contacts, at-near, at+near) {
		if d := math.Abs(c.Seconds - at); d < near {
			near, sure = d, c.Confidence
		}
	}
	return sure
}

// Receiver is who plays the balls that somebody else puts into play between two
// moments: of most plays, the one who does not strike first. It is contact.Unknown where
// no play begins with a racket, or as many on the one side as on the other.
func Receiver(contacts []contact.Contact, from, to float64) contact.Who {
	const pause = .7 // seconds between two plays, as in package contact: a missing contact is in between at most
	last, near := math.Inf(-1), 0
	for _, c := range Span(contacts, from, to) {
		if c.Kind == contact.Other {
			continue
		}
		if c.Kind == contact.Racket && c.Seconds > last+pause {
			switch c.Who {
			case contact.Far:
				near++
			case contact.Near:
				near--
			}
		}
		last = c.Seconds
	}
	switch {
	case near > 0:
		return contact.Near
	case near < 0:
		return contact.Far
	}
	return contact.Unknown
}
