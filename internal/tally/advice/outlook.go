package advice

import (
	"fmt"
	"slices"
	"unicode/utf8"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// outlook is what the sentence on a sheet rests on.
type outlook struct {
	strokes      int         // logged
	looked       int         // faults in use that somebody has looked for on a stroke
	unlooked     int         // that somebody has not
	listed       int         // to work on
	inconclusive []evidence  // of whom it is open whether they are
	open         int         // how many more strokes it takes to say, the most of them
	rare         bool        // every fault in use
	methods      [2]hold     // regular, irregular
	top          int         // the highest rung that was trained in them
	next         *climb.Rung // of the ladder; nil where all are passed
}

// hold is how the strokes of a method hold.
type hold struct {
	method   club.Method
	rare     bool // every fault in use
	missing  int  // strokes to say so; 0: it is known
	unlooked int  // strokes that somebody has not looked at for some fault
	in       verdict.TurnsText
	good     *rate.Share
}

func (h *hold) holds() bool { return h.rare && h.good != nil && h.good.Low > verdict.GoodFrom }

// method is the first of which it is not known whether the faults are rare.
func (o *outlook) method() *hold {
	for i := range o.methods {
		if o.methods[i].missing > 0 {
			return &o.methods[i]
		}
	}
	return nil
}

func (b *Basis) outlook(faults []evidence) *outlook {
	o := &outlook{strokes: b.All.Strokes, rare: true}
	for i := range faults {
		e := &faults[i]
		if e.PerStroke != nil {
			o.looked++
		}
		if e.UnlookedStrokes > 0 {
			o.unlooked++
		}
		if e.listed() {
			o.listed++
		}
		if n := e.open(); n > 0 {
			o.inconclusive, o.open = append(o.inconclusive, *e), max(o.open, n)
		}
		o.rare = o.rare && e.rare()
	}
	for i, m := range []club.Method{club.Regular, club.Irregular} {
		o.methods[i] = b.holdOf(m, faults)
	}
	for _, d := range b.Trained {
		if d.Method != club.Free {
			o.top = max(o.top, d.Rung)
		}
	}
	o.next = b.next()
	return o
}

func (b *Basis) holdOf(m club.Method, faults []evidence) hold {
	h := hold{method: m, rare: true}
	i := slices.IndexFunc(b.Methods, func(g group.Group) bool { return g.Method == m })
	if i < 0 || b.Methods[i].Strokes == 0 {
		h.rare, h.in = false, verdict.SeveralTurns
		for j := range faults {
			h.missing = max(h.missing, verdict.Missing(nil, faults[j].PerStroke, verdict.Conclusive))
		}
		return h
	}
	h.good = b.Methods[i].GoodShare
	for j := range faults {
		l := faults[j].of(m)
		s := l.PerStroke
		if s == nil && l.UnlookedStrokes == 0 {
			continue
		}
		h.rare = h.rare && verdict.Of(s) == verdict.Rare
		h.unlooked = max(h.unlooked, l.UnlookedStrokes)
		if !verdict.Conclusive(s) {
			h.missing = max(h.missing, verdict.Missing(s, faults[j].PerStroke, verdict.Conclusive))
			h.in = max(h.in, verdict.TurnsOf(s))
		} else if l.UnlookedStrokes > 0 {
			h.missing = max(h.missing, l.UnlookedStrokes)
		}
	}
	return h
}

// of the line of a method, nil where it was not trained.
func (e *evidence) of(m club.Method) *group.FaultLine {
	switch m {
	case club.Regular:
		return e.regular
	case club.Irregular:
		return e.irregular
	}
	return e.free
}

// say is what a sheet says where no fault is to work on.
func (o *outlook) say(id SentenceID) string {
	switch id {
	case noStrokes:
		return "No strokes are logged: without them nobody can say how often a fault comes. Take over the strokes heard in a turn, or log them."
	case notLooked:
		return "Nobody has looked through these strokes yet: until somebody does, nobody can say how often a fault comes."
	case cannotCome:
		return "No fault in use can come on these strokes."
	case whichUntold:
		return o.whichText()
	case noneStandsOut:
		return "No fault stands out: none is known to come on more than one stroke in twenty and more often than is usual in the club."
	case holdUntold:
		h := o.method()
		left := "nobody has looked at"
		if h.missing == h.unlooked {
			return fmt.Sprintf("No fault comes often. Cannot tell yet whether the strokes hold in %s drills: look through the %s that %s.", h.method, wording.Count(h.missing, "stroke"), left)
		}
		return fmt.Sprintf("No fault comes often. Cannot tell yet whether the strokes hold in %s drills: %s.", h.method, verdict.Film(h.missing, "of them", h.unlooked, h.in))
	case notGood:
		of := func(h hold) string {
			if h.good == nil {
				return "none"
			}
			return fmt.Sprintf("%d of %d", h.good.X, h.good.N)
		}
		return fmt.Sprintf("No fault comes often in regular or in irregular drills. That the strokes hold is not shown: %s regular ones and %s irregular ones are good.", of(o.methods[0]), of(o.methods[1]))
	case moveUp:
		return "The strokes hold in regular and in irregular drills: time to move up a rung."
	case notPassed:
		return "The strokes hold in regular and in irregular drills; the ladder has a rung that is not passed yet."
	case atTheTop:
		return "The strokes hold in regular and in irregular drills, and the club's ladder has no higher rung."
	}
	return ""
}

// whichText says of which faults it is open whether they come often.
func (o *outlook) whichText() string {
	var which []string // those that were seen most often
	unlooked, in := 0, verdict.AnyTurns
	for _, e := range o.inconclusive {
		if len(which) < group.MostNamed && utf8.RuneCountInString(e.Code) <= group.LongestCode {
			which = append(which, club.Isolated(e.Code))
		}
		unlooked = max(unlooked, e.UnlookedStrokes)
		in = max(in, verdict.TurnsOf(e.PerStroke)) // the longer of the two
	}
	verb := "come"
	if len(o.inconclusive) == 1 {
		verb = "comes"
	}
	switch n := len(o.inconclusive) - len(which); {
	case n > 0 && len(which) > 0:
		which = append(which, wording.Count(n, "other fault"))
	case n > 0:
		which = []string{wording.Count(n, "fault")}
	}
	return fmt.Sprintf("Cannot tell yet whether %s %s often: %s.", wording.List(which), verb, verdict.Film(o.open, "", unlooked, in))
}
