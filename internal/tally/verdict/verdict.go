// Package verdict says what a rate shows of how often a fault comes, and how many more
// strokes it takes to say so. It is pure.
package verdict

import (
	"fmt"
	"math"
	"sort"

	"strokeledger/internal/tally/rate"
)

// What the sentences of advice ask of numbers, beside their intervals. All of it is
// common practice, no source.
const (
	// EnoughStrokes is how many strokes it takes before anything is said of a rate.
	EnoughStrokes = 20
	// OftenAbove is the rate above which a fault comes often.
	OftenAbove = 0.05
	// RareBelow is the rate below which a fault must be shown to be before a stroke is
	// said to hold.
	RareBelow = 0.1
	// Narrow is the width of an interval with which a rate is known well enough, Wide
	// that of a difference, and of a rate that is set against the club's.
	Narrow, Wide = 0.1, 0.2
	// GoodFrom is the part of good strokes above which it must be shown to be before a
	// rung higher is suggested.
	GoodFrom = 0.7
)

// Verdict is what a share shows of a fault's rate.
type Verdict int

const (
	Inconclusive Verdict = iota // too little is known
	Often                       // above OftenAbove
	Rare                        // below RareBelow, and seen at less than OftenAbove
	Between                     // neither, and known to within Narrow
)

// Of is the verdict on a share, which may be nil.
func Of(s *rate.Share) Verdict {
	switch {
	case s == nil || !s.Known() || s.N < EnoughStrokes:
		return Inconclusive
	case s.Low > OftenAbove:
		return Often
	case s.Rate < OftenAbove && s.High < RareBelow:
		return Rare
	case s.High-s.Low <= Narrow:
		return Between
	}
	return Inconclusive
}

// Firm reports whether the rate is known well enough to be said in plain words, "about
// every third stroke": at least 20 strokes and an interval of 20 points (common practice,
// no source).
func Firm(s rate.Share) bool { return s.Known() && s.N >= EnoughStrokes && s.High-s.Low <= Wide }

// ComesOften reports whether a rate is above OftenAbove; the share may be nil.
func ComesOften(s *rate.Share) bool { return Of(s) == Often }

// Conclusive reports whether something is known of a rate; the share may be nil.
func Conclusive(s *rate.Share) bool { return Of(s) != Inconclusive }

// MostMissing is the most strokes that anybody is asked for at once.
const MostMissing = 2000

// Missing is how many more strokes it takes, in tens, until a share is as done asks
// for, if the rate stays as it is and the turns as alike as they are. Of a share that
// is nil, like has the rate.
func Missing(s, like *rate.Share, done func(*rate.Share) bool) int {
	have := 0
	if s != nil {
		have, like = s.N, s
	}
	if like == nil {
		return EnoughStrokes
	}
	least := 10
	if s != nil && !s.Known() {
		least = EnoughStrokes
	}
	return max(least, 10+10*sort.Search(MostMissing/10-1, func(tens int) bool {
		n := have + 10 + 10*tens
		return n >= EnoughStrokes && done(like.With(n))
	}))
}

// TurnsText says in what turns more strokes are to be filmed.
type TurnsText string

const (
	AnyTurns     TurnsText = ""
	SeveralTurns TurnsText = ", in several turns"
	MoreTurns    TurnsText = SeveralTurns + ": too few were seen to know how far they differ"
)

// TurnsOf is what turns it takes to know more of a share, which may be nil.
func TurnsOf(s *rate.Share) TurnsText {
	switch {
	case s == nil || s.Known() && s.Turns < rate.FewestTurns:
		return SeveralTurns
	case !s.Known():
		return MoreTurns
	}
	return AnyTurns
}

// Film asks for more strokes: to film them, or to look at those of which so many wait.
func Film(n int, of string, unlooked int, in TurnsText) string {
	verb, noun := "film", "strokes"
	if unlooked > 0 {
		verb = "look through or film"
	}
	if n == 1 {
		noun = "stroke"
	}
	text := fmt.Sprintf("%s %d more %s", verb, n, noun)
	if of != "" {
		text += " " + of
	}
	return text + string(in)
}

// InWords says a rate as people say it, "about 1 stroke in 7", where it is known well
// enough; else it is empty. The share may be nil.
func InWords(s *rate.Share) string {
	if s == nil || s.X == 0 || !Firm(*s) {
		return ""
	}
	switch r := s.Rate; {
	case r == 1:
		return "every stroke"
	case r >= 0.95:
		return "nearly every stroke"
	case r > 0.55:
		return fmt.Sprintf("about %.0f strokes in 10", 10*r)
	case r > 0.45:
		return "about every second stroke"
	case r > 0.38:
		return "about 4 strokes in 10"
	case r > 0.28:
		return "about every third stroke"
	default:
		return fmt.Sprintf("about 1 stroke in %.0f", math.Round(1/r))
	}
}
