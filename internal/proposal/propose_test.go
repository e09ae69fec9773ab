package proposal

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// heardPlay writes contacts as a rally's score: a time, then rn, rf (racket, near or
// far), bn, bf (bounce) or o (other).
func heardPlay(score ...any) (out []contact.Contact) {
	words := map[string]contact.Contact{
		"rn": {Kind: contact.Racket, Who: contact.Near}, "rf": {Kind: contact.Racket, Who: contact.Far},
		"bn": {Kind: contact.Bounce, Who: contact.Near}, "bf": {Kind: contact.Bounce, Who: contact.Far}, "o": {Kind: contact.Other},
	}
	for i := 0; i < len(score); i += 2 {
		c := words[score[i+1].(string)]
		c.Seconds, c.Confidence = score[i].(float64), .97
		if c.Kind == contact.Other {
			c.Confidence = .2
		}
		out = append(out, c)
	}
	return out
}

func TestOutcomesOfARally(t *testing.T) {
	for name, c := range map[string]struct {
		contacts []contact.Contact
		outcome  club.Outcome
	}{
		"the ball lands":                  {heardPlay(1., "rn", 1.45, "bf", 1.63, "rf"), club.Good},
		"only the partner is heard":       {heardPlay(1., "rn", 1.63, "rf"), club.Good},
		"silence":                         {heardPlay(1., "rn"), club.Missed},
		"into the net":                    {heardPlay(1., "rn", 1.3, "o", 1.5, "bn", 1.7, "bn"), club.Missed},
		"on to the floor":                 {heardPlay(1., "rn", 1.64, "o"), club.Missed},
		"a serve bounces on both halves":  {heardPlay(1., "rn", 1.15, "bn", 1.5, "bf", 1.7, "rf"), club.Good},
		"the next rally is no answer":     {heardPlay(1., "rn", 2.4, "rf", 2.7, "bn"), club.Missed},
		"nor is the player's next stroke": {heardPlay(1., "rn", 1.7, "rn", 1.8, "bf"), club.Missed},
	} {
		got := Strokes(Play{To: 10, Player: contact.Near, Least: UsualConfidence, Contacts: c.contacts})
		require.NotEmpty(t, got, name)
		require.Equal(t, c.outcome, got[0].Outcome, name)
		require.Equal(t, 1., got[0].Seconds, name)
	}
}

// Balls that are fed: the feeder strikes before the last ball has landed.
func TestOutcomesOfBallsThatAreFed(t *testing.T) {
	var score []any
	for i := range 6 {
		at := 1 + .8*float64(i)
		score = append(score, at, "rn", at+.23, "rf")
		if i != 2 {
			score = append(score, at+.43+.01*float64(i%2), "bf")
		} else {
			score = append(score, at+.30, "o", at+.52, "bn") // into the net
		}
		score = append(score, at+.68, "bn")
	}
	got := Strokes(Play{To: 10, Fed: true, Player: contact.Near, Least: UsualConfidence, Contacts: heardPlay(score...)})
	var outcomes []club.Outcome
	for _, q := range got {
		outcomes = append(outcomes, q.Outcome)
		require.LessOrEqual(t, q.Confidence, .8, "less sure than in a rally")
	}
	good, missed := club.Good, club.Missed
	require.Equal(t, []club.Outcome{good, good, missed, good, good, good}, outcomes)
	require.InDelta(t, 1.23, *got[0].Answer, 1e-9, "the next feed")
}

func TestLastBallOfARallyBesideTheTable(t *testing.T) {
	rally := func(flights ...float64) (heard []contact.Contact) {
		at := 1.
		for i, f := range flights {
			heard = append(heard, heardPlay(at, "rn", at+f, "bf")...)
			if i+1 < len(flights) {
				heard = append(heard, heardPlay(at+f+.18, "rf", at+f+.6, "bn")...)
			}
			at += f + .8
		}
		return heard
	}
	for name, c := range map[string]struct {
		flights []float64
		outcome club.Outcome
	}{
		"as all before":                    {[]float64{.48, .50, .47, .49, .50}, club.Good},
		"later: on the floor":              {[]float64{.48, .50, .47, .49, .63}, club.Missed},
		"as late, among balls of any pace": {[]float64{.30, .55, .40, .62, .63}, club.Good},
		"as late, after too few":           {[]float64{.48, .50, .47, .63}, club.Good},
	} {
		got := Strokes(Play{From: 0, To: 9, Player: contact.Near, Least: .5, Contacts: rally(c.flights...)})
		require.Len(t, got, len(c.flights), name)
		require.Equal(t, c.outcome, got[len(got)-1].Outcome, name)
		require.Equal(t, club.Good, got[0].Outcome, name)
	}
}

func TestReceiverDoesNotBegin(t *testing.T) {
	fed := heardPlay(1., "rf", 1.4, "bn", 1.5, "rn", 1.9, "bf", 4., "rf", 4.4, "bn", 4.5, "rn")
	require.Equal(t, contact.Near, Receiver(fed, 0, 9))
	require.Equal(t, contact.Near, Receiver(append(fed, heardPlay(6., "rn", 6.3, "bf")...), 0, 9), "one feed of three was not heard")
	require.Equal(t, contact.Unknown, Receiver(heardPlay(1., "bn", 1.1, "rn"), 0, 9), "it begins with a bounce")
	require.Equal(t, contact.Far, Receiver(heardPlay(1., "rf", 1.3, "o", 4., "rn", 4.4, "bf", 4.5, "rf"), 3, 9), "other times say nothing")
	require.Equal(t, contact.Unknown, Receiver(heardPlay(1., "rf", 4., "rn"), 0, 9))
}

func TestAnswers(t *testing.T) {
	p := Play{To: 20, Player: contact.Near, Least: UsualConfidence, Contacts: heardPlay(1., "rn", 1.4, "bf", 1.6, "rf", 2.2, "rn", 6., "rf", 9., "rn", 9.5, "rn", 9.7, "rf")}
	got := Strokes(p)
	require.Len(t, got, 4)
	require.Equal(t, 1.6, *got[0].Answer)
	require.Nil(t, got[1].Answer, "that is another rally")
	require.Nil(t, got[2].Answer, "not past the player's next stroke")
	require.Equal(t, 9.7, *got[3].Answer)
}

func TestWeakSoundsAreProposedWhereNothingBetterIs(t *testing.T) {
	p := Play{To: 20, Player: contact.Near, Contacts: heardPlay(1., "rn", 1.1, "o", 1.4, "bf", 3., "o")}
	for least, want := range map[float64][]float64{.5: {1}, .1: {1, 3}, .98: nil} {
		p.Least = least
		var at []float64
		for _, q := range Strokes(p) {
			at = append(at, q.Seconds)
		}
		require.Equal(t, want, at, "from %v on", least)
	}
}

func TestWhoStruck(t *testing.T) {
	heard := heardPlay(1., "rn", 1.5, "bf", 1.7, "rf")
	require.Equal(t, contact.Near, Striker(heard, 1.02))
	require.Equal(t, contact.Far, Striker(heard, 1.66))
	require.Equal(t, contact.Unknown, Striker(heard, 1.5), "a bounce is nobody's stroke")
	require.Equal(t, .97, Confidence(heard, 1.705))
	require.Equal(t, 1., Confidence(heard, 1.2), "set by a coach")
}

// Whatever is heard: proposals lie in the turn, in order, clear of each other and
// of what is logged, are never more where the bar is higher, and come with a
// confidence and an answer that make sense.
func TestProposalsAreSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var contacts []contact.Contact
		at := 0.0
		for range rapid.IntRange(0, 60).Draw(t, "contacts") {
			at += rapid.Float64Range(.01, 1.5).Draw(t, "gap")
			c := contact.Contact{Seconds: at, Confidence: rapid.Float64Range(0, 1).Draw(t, "confidence"),
				Kind: rapid.SampledFrom([]contact.Kind{contact.Racket, contact.Bounce, contact.Other}).Draw(t, "kind")}
			if c.Kind != contact.Other {
				c.Who = rapid.SampledFrom([]contact.Who{contact.Near, contact.Far}).Draw(t, "who")
			}
			contacts = append(contacts, c)
		}
		logged := rapid.SliceOfN(rapid.Float64Range(0, at+1), 0, 10).Draw(t, "logged")
		slices.Sort(logged)
		p := Play{
			From: rapid.Float64Range(0, at/2+1).Draw(t, "from"), To: rapid.Float64Range(at/2+1, at+2).Draw(t, "to"), Logged: logged,
			Fed: rapid.Bool().Draw(t, "fed"), Player: rapid.SampledFrom([]contact.Who{contact.Near, contact.Far}).Draw(t, "player"),
			Least: rapid.Float64Range(0, 1).Draw(t, "least"), Contacts: contacts,
		}
		got := Strokes(p)
		require.True(t, slices.IsSortedFunc(got, func(a, b Stroke) int { return cmp.Compare(a.Seconds, b.Seconds) }))
		for _, q := range got {
			require.True(t, p.From <= q.Seconds && q.Seconds < p.To)
			require.True(t, q.Confidence >= 0 && q.Confidence <= 1)
			require.Contains(t, []club.Outcome{club.Good, club.Missed}, q.Outcome)
			if q.Answer != nil {
				require.True(t, *q.Answer > q.Seconds && *q.Answer <= q.Seconds+AnswerWithin)
			}
			for _, at := range logged {
				require.GreaterOrEqual(t, math.Abs(at-q.Seconds), SameStroke)
			}
		}
		// With everything logged that is proposed, nothing more is.
		for _, q := range got {
			p.Logged = append(p.Logged, q.Seconds)
		}
		slices.Sort(p.Logged)
		require.Empty(t, Strokes(p))
		p.Logged = logged
		surer := p
		surer.Least = rapid.Float64Range(p.Least, 1).Draw(t, "surer")
		for _, c := range surer.struck() {
			if c.Kind == contact.Racket {
				require.True(t, slices.ContainsFunc(p.struck(), func(o contact.Contact) bool { return o.Seconds == c.Seconds }), "a higher bar brings nothing new")
			}
		}
	})
}
