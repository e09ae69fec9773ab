package advice

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/verdict"
)

// evidence is what a player's sheet has of one fault.
type evidence struct {
	*group.FaultLine
	regular, irregular, free *group.FaultLine     // of the methods; nil where not trained
	compared                 *contrast.Comparison // of the methods per stroke; nil for none
	fitted                   bool                 // how far players differ is known
}

// evidence of the faults in use.
func (b *Basis) evidence() []evidence {
	list := make([]evidence, 0, len(b.All.Faults))
	for i := range b.All.Faults {
		l := &b.All.Faults[i]
		if l.Retired {
			continue
		}
		e := evidence{FaultLine: l, fitted: b.Fitted(l.FaultID)}
		for _, g := range b.Methods {
			of := &g.Faults[slices.IndexFunc(g.Faults, func(o group.FaultLine) bool { return o.FaultID == l.FaultID })]
			switch g.Method {
			case club.Regular:
				e.regular = of
			case club.Irregular:
				e.irregular = of
			default:
				e.free = of
			}
		}
		for c := range b.Comparisons {
			if o := &b.Comparisons[c]; o.Kind == contrast.Methods && o.FaultID == l.FaultID && o.Strokes != nil {
				e.compared = o
			}
		}
		list = append(list, e)
	}
	return list
}

// perStroke of a line that may be nil.
func perStroke(l *group.FaultLine) *rate.Share {
	if l == nil {
		return nil
	}
	return l.PerStroke
}

// shown reports whether the fault comes often, in all or in the drills of a method.
func (e *evidence) shown() bool {
	return verdict.ComesOften(e.PerStroke) || verdict.ComesOften(perStroke(e.regular)) || verdict.ComesOften(perStroke(e.irregular)) || verdict.ComesOften(perStroke(e.free))
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
		return verdict.EnoughStrokes
	case !e.shown() && !verdict.Conclusive(s):
		return verdict.Missing(s, s, verdict.Conclusive)
	case e.shown() && s.High-s.Low > verdict.Wide: // no more often than in the club, as it seems
		return verdict.Missing(s, s, func(s *rate.Share) bool { return s.High-s.Low <= verdict.Wide })
	}
	return 0
}

// rare reports whether the fault is rare in all and often in no method, or cannot come.
func (e *evidence) rare() bool {
	return e.PerStroke == nil && e.UnlookedStrokes == 0 || !e.shown() && verdict.Of(e.PerStroke) == verdict.Rare
}

// differs reports whether the comparison calls a difference between the methods.
func (e *evidence) differs() bool {
	return e.compared != nil && e.compared.Test != nil && e.compared.Test.Survives
}

// moreIrregular reports whether it calls the fault more frequent in irregular drills.
func (e *evidence) moreIrregular() bool { return e.differs() && e.compared.Strokes.Low > 0 }

// because is why the comparison calls no difference although its interval leaves 0 out,
// "" where that is not so.
func (e *evidence) because() string {
	if c := e.compared; c != nil && c.Test != nil && c.Test.Shown {
		return c.Test.Because
	}
	return ""
}

// alike reports whether the comparison was made, finely enough, and shows nothing.
func (e *evidence) alike() bool {
	c := e.compared
	return c != nil && c.Test != nil && !c.Test.Survives && c.Strokes.High-c.Strokes.Low <= verdict.Wide
}
