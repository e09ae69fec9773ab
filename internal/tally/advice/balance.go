package advice

import (
	"fmt"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// Balance is how a player's strokes split between regular and irregular drills,
// against the club's goal.
type Balance struct {
	Regular   int         `json:"regular"` // strokes
	Irregular int         `json:"irregular"`
	Free      int         `json:"free"`
	Share     *rate.Share `json:"share"` // irregular of regular and irregular; nil without either
	Goal      float64     `json:"wish"`  // of irregular, 0 to 1; 0.5 where the club has said nothing
	Say       string      `json:"say"`   // one sentence
}

// BalanceOf splits the strokes by method, against a goal of 0 to 1. What it says goes
// with the advice, if there is any.
func BalanceOf(methods []group.Group, goal float64, w *WorkOn) Balance {
	b := Balance{Goal: goal}
	if !(b.Goal > 0 && b.Goal <= 1) {
		b.Goal = 0.5
	}
	for _, g := range methods {
		switch g.Method {
		case club.Regular:
			b.Regular = g.Strokes
		case club.Irregular:
			b.Irregular = g.Strokes
		default:
			b.Free = g.Strokes
		}
	}
	b.Share = rate.ShareOf(b.Irregular, b.Regular+b.Irregular)
	if b.Share == nil {
		b.Say = "No strokes of regular or irregular drills are logged."
		return b
	}
	b.Say = fmt.Sprintf("%s %% of the strokes in regular and irregular drills were irregular; the club wishes %s %%", wording.Percent(b.Share.Rate, 0), wording.Percent(b.Goal, 0))
	if m := b.closer(); m != "" && !(w != nil && w.against(m)) {
		b.Say += fmt.Sprintf(": more %s drills would bring it closer", m)
	}
	b.Say += "."
	return b
}

// closer is the method of which more would bring the strokes closer to the goal,
// empty for neither.
func (b *Balance) closer() club.Method {
	const off = 0.1 // common practice, no source
	switch {
	case b.Share.N < verdict.EnoughStrokes:
	case b.Share.Rate > b.Goal+off:
		return club.Regular
	case b.Share.Rate < b.Goal-off:
		return club.Irregular
	}
	return ""
}

// against reports whether advice on a fault asks for the other method.
func (w *WorkOn) against(m club.Method) bool {
	return slices.ContainsFunc(w.Faults, func(a Advice) bool {
		switch a.Sentence {
		case breaks, moreOften:
			return m == club.Regular
		case thereAlready:
			return m == club.Irregular
		case whereUntold:
			return a.Asks != m
		}
		return false
	})
}
