package tally

import (
	"slices"
	"sort"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/prior"
	"strokeledger/internal/tally/rate"
)

// What the sentences of advice ask of numbers, beside their intervals. All of it is
// common practice, no source.
const (
	// enoughStrokes is how many strokes it takes before anything is said of a rate.
	enoughStrokes = 20
	// oftenAbove is the rate above which a fault comes often.
	oftenAbove = 0.05
	// rareBelow is the rate below which a fault must be shown to be before a stroke is
	// said to hold.
	rareBelow = 0.1
	// narrow is the width of an interval with which a rate is known well enough, wide
	// that of a difference, and of a rate that is set against the club's.
	narrow, wide = 0.1, 0.2
	// goodFrom is the part of good strokes above which it must be shown to be before a
	// rung higher is suggested.
	goodFrom = 0.7
)

// verdict is what a share shows of a fault's rate.
type verdict int

const (
	inconclusive verdict = iota // too little
	often                       // above oftenAbove
	rare                        // below rareBelow, and seen at less than oftenAbove
	between                     // neither, and known to within narrow
)

// verdictOf a share, which may be nil.
func verdictOf(s *rate.Share) verdict {
	switch {
	case s == nil || !s.Known() || s.N < enoughStrokes:
		return inconclusive
	case s.Low > oftenAbove:
		return often
	case s.Rate < oftenAbove && s.High < rareBelow:
		return rare
	case s.High-s.Low <= narrow:
		return between
	}
	return inconclusive
}

// Firm reports whether the rate is known well enough to be said in plain words, "about
// every third stroke": at least 20 strokes and an interval of 20 points (common practice,
// no source).
func Firm(s rate.Share) bool { return s.Known() && s.N >= enoughStrokes && s.High-s.Low <= wide }

func comesOften(s *rate.Share) bool { return verdictOf(s) == often }

func conclusive(s *rate.Share) bool { return verdictOf(s) != inconclusive }

// mostMissing is the most strokes that anybody is asked for at once.
const mostMissing = 2000

// missing is how many more strokes it takes, in tens, until a share is as done asks
// for, if the rate stays as it is and the turns as alike as they are. Of a share that
// is nil, like has the rate.
func missing(s, like *rate.Share, done func(*rate.Share) bool) int {
	have := 0
	if s != nil {
		have, like = s.N, s
	}
	if like == nil {
		return enoughStrokes
	}
	least := 10
	if s != nil && !s.Known() {
		least = enoughStrokes
	}
	return max(least, 10+10*sort.Search(mostMissing/10-1, func(tens int) bool {
		n := have + 10 + 10*tens
		return n >= enoughStrokes && done(like.With(n))
	}))
}

// evidence is what a player's sheet has of one fault.
type evidence struct {
	*FaultLine
	regular, irregular, free *FaultLine           // of the methods; nil where not trained
	compared                 *contrast.Comparison // of the methods per stroke; nil for none
	fitted                   bool                 // how far players differ is known
}

// evidence of the faults in use.
func (k *Counter) evidence(d *draft) []evidence {
	list := make([]evidence, 0, len(d.All.Faults))
	for i := range d.All.Faults {
		l := &d.All.Faults[i]
		if l.Retired {
			continue
		}
		e := evidence{FaultLine: l, fitted: k.club.strokes(k.faultAt[l.FaultID]).How == prior.Fitted}
		for _, g := range d.Methods {
			of := &g.Faults[slices.IndexFunc(g.Faults, func(o FaultLine) bool { return o.FaultID == l.FaultID })]
			switch g.Method {
			case club.Regular:
				e.regular = of
			case club.Irregular:
				e.irregular = of
			default:
				e.free = of
			}
		}
		for c := range d.Comparisons {
			if o := &d.Comparisons[c]; o.Kind == contrast.Methods && o.FaultID == l.FaultID && o.Strokes != nil {
				e.compared = o
			}
		}
		list = append(list, e)
	}
	return list
}

// perStroke of a line that may be nil.
func (l *FaultLine) perStroke() *rate.Share {
	if l == nil {
		return nil
	}
	return l.PerStroke
}

// shown reports whether the fault comes often, in all or in the drills of a method.
func (e *evidence) shown() bool {
	return comesOften(e.PerStroke) || comesOften(e.regular.perStroke()) || comesOften(e.irregular.perStroke()) || comesOften(e.free.perStroke())
}

// excess is what is to expect of the fault beyond the club's rate; where the club does
// not tell how far players differ, all of it.
func (e *evidence) excess() float64 {
	if e.Expected == nil {
		return 0
	}
	if e.fitted {
		return e.Expected.Excess
	}
	return e.Expected.Rate
}

// listed reports whether the fault is one to work on.
func (e *evidence) listed() bool { return e.shown() && e.excess() > 0 }

// open is how many more strokes it takes to say whether the fault is one to work on;
// 0 where that is known.
func (e *evidence) open() int {
	s := e.PerStroke
	switch {
	case e.listed() || s == nil && e.UnlookedStrokes == 0:
		return 0
	case s == nil:
		return enoughStrokes
	case !e.shown() && !conclusive(s):
		return missing(s, s, conclusive)
	case e.shown() && s.High-s.Low > wide: // no more often than in the club, as it seems
		return missing(s, s, func(s *rate.Share) bool { return s.High-s.Low <= wide })
	}
	return 0
}

// rare reports whether the fault is rare in all and often in no method, or cannot come.
func (e *evidence) rare() bool {
	return e.PerStroke == nil && e.UnlookedStrokes == 0 || !e.shown() && verdictOf(e.PerStroke) == rare
}

// moreIrregular reports whether the comparison calls the fault more frequent in irregular drills.
func (e *evidence) moreIrregular() bool {
	c := e.compared
	if c == nil || c.Test == nil || !c.Test.Survives {
		return false
	}
	return c.Strokes.Low > 0
}

// alike reports whether the comparison was made, finely enough, and shows nothing.
func (e *evidence) alike() bool {
	c := e.compared
	return c != nil && c.Test != nil && !c.Test.Survives && c.Strokes.High-c.Strokes.Low <= wide
}
