package tally

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"strokeledger/internal/club"
)

// WorkOn is what a player might work on next. It is common practice, without a
// source, and the coach decides: Cautions says so in words that every screen and
// document shows.
type WorkOn struct {
	Faults   []Advice    `json:"faults"`  // at most three, the most pressing first
	Holds    bool        `json:"holds"`   // no fault stands out in regular or irregular drills: MoveUp has the drills
	MoveUp   []DrillHint `json:"move_up"` // drills of the next rung; empty unless Holds
	Say      string      `json:"say"`     // one sentence where Faults is empty, else ""
	Cautions []string    `json:"cautions"`
}

// Advice is one fault to work on.
type Advice struct {
	FaultID club.ID     `json:"fault_id"`
	Code    string      `json:"code"`
	Label   string      `json:"label"`
	Phase   club.Phase  `json:"phase"`
	Weight  int         `json:"weight"`
	Cue     string      `json:"cue"`
	Where   Where       `json:"where"`
	Excess  float64     `json:"excess"` // faults to expect in 100 strokes beyond the club's own
	Trend   Direction   `json:"trend"`
	Score   float64     `json:"score"` // weight × excess × 1.5 where it gets worse, × 0.75 where it gets better
	Why     string      `json:"why"`   // one sentence
	Say     string      `json:"say"`   // one sentence: which practice
	Drills  []DrillHint `json:"drills"`
}

// Where says in which drills a fault shows.
type Where string

const (
	InIrregular Where = "irregular" // only there: it holds when the ball is known and breaks when it is not
	InRegular   Where = "regular"   // there already
	InBoth      Where = "both"      // in regular drills already, and in irregular ones
	InFree      Where = "free"      // in neither: they do not show it, or were not trained
)

// DrillHint is a drill of the club that fits.
type DrillHint struct {
	DrillID club.ID     `json:"drill_id"`
	Name    string      `json:"name"`
	Method  club.Method `json:"method"`
	Rung    int         `json:"rung"`
}

// Balance is how a player's strokes split between regular and irregular drills,
// against what the club wishes.
type Balance struct {
	Regular   int     `json:"regular"` // strokes
	Irregular int     `json:"irregular"`
	Free      int     `json:"free"`
	Share     *Share  `json:"share"` // irregular of regular and irregular; nil without either
	Wish      float64 `json:"wish"`  // of irregular, 0 to 1; 0.5 where the club has said nothing
	Say       string  `json:"say"`   // one sentence
}

const (
	mostAdvice = 3
	// holdsBelow is the rate under which a stroke is said to hold (common practice,
	// no source).
	holdsBelow = 0.05
	// oftenFrom is the rate from which nobody would say that a stroke holds (common
	// practice, no source).
	oftenFrom = 0.1
	// enoughStrokes is how many strokes of a method it takes to say that it holds
	// (common practice, no source).
	enoughStrokes = 20
	worseCounts   = 1.5 // weight of a fault that is getting worse
	betterCounts  = 0.75
)

// cautions stand beside every advice.
func cautions() []string {
	return []string{
		"What to work on is common practice, without a source; the coach decides.",
		"Evidence that irregular practice teaches more is weak in the young and outside the laboratory: the rates side by side promise no learning.",
		"A count of faults is not a measure of a child, and no reason to repeat a drill to exhaustion.",
	}
}

// workOn says what a player might work on next.
func (k *Counter) workOn(d *draft) *WorkOn {
	w := &WorkOn{Faults: []Advice{}, MoveUp: []DrillHint{}, Cautions: cautions()}
	for i := range d.All.Faults {
		if a, ok := k.advice(d, &d.All.Faults[i]); ok {
			w.Faults = append(w.Faults, a)
		}
	}
	slices.SortStableFunc(w.Faults, func(a, b Advice) int { return cmp.Compare(b.Score, a.Score) })
	w.Faults = w.Faults[:min(mostAdvice, len(w.Faults))]
	for i := range w.Faults {
		k.practice(d, &w.Faults[i])
	}
	switch {
	case len(w.Faults) > 0:
	case d.All.Strokes == 0:
		w.Say = "No strokes are logged: without them nobody can say how often a fault comes. Take over the strokes heard in a turn, or log them."
	case d.All.Looked.NoTurns == d.All.Turns:
		w.Say = "Nobody has looked through these turns yet: until somebody does, nobody can say how often a fault comes."
	case d.holds():
		w.Holds, w.MoveUp = true, k.moveUp(d)
		w.Say = "The strokes hold in regular and in irregular drills: time to move up a rung."
		if len(w.MoveUp) == 0 {
			w.Say = "The strokes hold in regular and in irregular drills, and the club's ladder has no higher rung."
		}
	default:
		w.Say = "No fault stands out from what is usual in the club; the figures show what there is."
	}
	return w
}

// advice weighs one fault; it is not ok where the fault is nothing to work on: not
// in use, on fewer than two strokes, or no more frequent than in the club.
func (k *Counter) advice(d *draft, l *FaultLine) (a Advice, ok bool) {
	if l.Retired || l.PerStroke == nil || l.PerStroke.X < 2 || l.Expected == nil {
		return a, false
	}
	excess := l.Expected.Excess
	if k.fitOf(l).How != Fitted {
		// There is no usual spread to stand out from: every fault counts.
		excess = l.Expected.Rate
	}
	if excess <= 0 {
		return a, false
	}
	a = Advice{
		FaultID: l.FaultID, Code: l.Code, Label: l.Label, Phase: l.Phase, Weight: l.Weight, Cue: l.Cue,
		Excess: 100 * excess, Trend: l.Trend.Direction, Drills: []DrillHint{},
	}
	a.Score = float64(l.Weight) * a.Excess
	switch a.Trend {
	case Rising:
		a.Score *= worseCounts
	case Falling:
		a.Score *= betterCounts
	}
	a.Where, a.Why = k.why(d, l)
	switch a.Trend {
	case Rising:
		a.Why += "; it is getting worse"
	case Falling:
		a.Why += "; it is getting better"
	}
	a.Why += "."
	return a, true
}

func (k *Counter) fitOf(l *FaultLine) Fit { return k.club.strokes(k.faultAt[l.FaultID]) }

// why says where a fault shows, and the numbers that say so.
func (k *Counter) why(d *draft, l *FaultLine) (Where, string) {
	label := club.Isolated(l.Label)
	i := slices.IndexFunc(d.Comparisons, func(c Comparison) bool {
		return c.Kind == Methods && c.FaultID == l.FaultID && c.Strokes != nil
	})
	if i < 0 || d.Comparisons[i].Strokes.First.X+d.Comparisons[i].Strokes.Second.X == 0 {
		r, g := line(d.Methods, club.Regular, l.FaultID), line(d.Methods, club.Irregular, l.FaultID)
		where, of, in := InFree, line(d.Methods, club.Free, l.FaultID), "free play"
		switch {
		case r != nil && r.X > 0:
			where, of, in = InRegular, r, "regular drills; irregular ones were not logged"
		case g != nil && g.X > 0:
			where, of, in = InIrregular, g, "irregular drills; regular ones were not logged"
		case r != nil || g != nil:
			in = "free play alone: the drills do not show it"
		}
		text := fmt.Sprintf("%s in %s of the strokes, in %s", label, percent(of), in)
		if f := k.fitOf(l); f.How == Fitted {
			text += fmt.Sprintf("; the club's rate is %s %%", percentage(f.Mean))
		}
		return where, text
	}
	c := d.Comparisons[i]
	r, g := c.Strokes.First, c.Strokes.Second
	sides := fmt.Sprintf("%s in %s of irregular strokes against %s in regular", label, percent(&g), percent(&r))
	switch {
	case g.Rate >= 2*r.Rate && g.X >= 2 && c.Strokes.Low > 0 && r.Rate >= oftenFrom:
		return InIrregular, sides + ": far more often when the ball is not known"
	case g.Rate >= 2*r.Rate && g.X >= 2 && c.Strokes.Low > 0 && c.Test != nil && c.Test.Survives:
		return InIrregular, sides + ": holds when the ball is known, breaks when it is not"
	case r.X == 0 || g.Rate >= 2*r.Rate && g.X >= 2 && c.Strokes.Low > 0:
		return InIrregular, sides + ": it seems to hold when the ball is known and to break when it is not"
	case g.X == 0:
		return InRegular, sides + ": it is there when the ball is known"
	}
	return InBoth, sides + ": it is there already when the ball is known"
}

// line finds a fault with strokes in a method.
func line(groups []Group, m club.Method, fault club.ID) *Share {
	for _, g := range groups {
		if g.Method != m {
			continue
		}
		for _, l := range g.Faults {
			if l.FaultID == fault {
				return l.PerStroke
			}
		}
	}
	return nil
}

// practice says which drills fit, by the rules of WorkOn.
func (k *Counter) practice(d *draft, a *Advice) {
	f := k.faultAt[a.FaultID]
	lowest, highest := 0, 0 // rungs of regular and irregular drills that show the fault
	for _, c := range d.cells {
		if c.whole().of(f).own.x == 0 {
			continue
		}
		if r := c.drill.Rung; c.drill.Method == club.Regular && (lowest == 0 || r < lowest) {
			lowest = r
		} else if c.drill.Method == club.Irregular {
			highest = max(highest, r)
		}
	}
	switch a.Where {
	case InIrregular:
		a.Drills = k.drillsAt(club.Irregular, highest, f)
		a.Say = "More irregular practice at the same rung."
	case InRegular, InBoth:
		below := 0
		for _, r := range k.ladder {
			if r.Method == club.Regular && r.Rung < lowest && suits(r, k.faults[f]) {
				below = max(below, r.Rung)
			}
		}
		a.Say = "Back to regular practice at a lower rung."
		if below == 0 {
			below = lowest
			a.Say = "Back to regular practice; the ladder has no lower rung for it, so the same one, slower."
		}
		a.Drills = k.drillsAt(club.Regular, below, f)
	case InFree:
		if line(d.Methods, club.Regular, a.FaultID) != nil || line(d.Methods, club.Irregular, a.FaultID) != nil {
			a.Say = "The drills do not show it: more free play, with the cue in mind."
			return
		}
		a.Say = "Log it in a regular drill first: free play does not show whether it holds when the ball is known."
		if d.Ladder != nil {
			for _, r := range d.Ladder.Rungs {
				if r.DrillID == d.Ladder.Next {
					a.Drills = k.drillsAt(club.Regular, r.Rung, f)
				}
			}
		}
	}
}

// drillsAt lists drills in use of a method and rung that can show the fault.
func (k *Counter) drillsAt(m club.Method, rung, fault int) []DrillHint {
	hints := []DrillHint{}
	for _, r := range k.ladder {
		if r.Method == m && r.Rung == rung && suits(r, k.faults[fault]) {
			hints = append(hints, hint(r))
		}
	}
	return hints
}

func hint(d club.Drill) DrillHint { return DrillHint{d.ID, d.Name, d.Method, d.Rung} }

// suits reports whether the fault can happen in the drill.
func suits(d club.Drill, f club.Fault) bool {
	switch {
	case d.Pattern == "":
		return true
	case f.Sides == club.ForehandOnly:
		return strings.Contains(string(d.Pattern), "F")
	case f.Sides == club.BackhandOnly:
		return strings.Contains(string(d.Pattern), "B")
	}
	return true
}

// holds reports whether enough strokes of both methods were logged and all of them
// looked at, and no fault in use comes often in either.
func (d *draft) holds() bool {
	both := 0
	for _, g := range d.Methods {
		if g.Method == club.Free || g.Strokes < enoughStrokes {
			continue
		}
		both++
		for _, l := range g.Faults {
			if !l.Retired && (l.UnlookedStrokes > 0 || l.PerStroke != nil && l.PerStroke.Rate >= holdsBelow) {
				return false
			}
		}
	}
	return both == 2
}

// moveUp lists the drills in use of the rung above the highest that was trained.
func (k *Counter) moveUp(d *draft) []DrillHint {
	top := 0
	for _, c := range d.cells {
		if c.whole().turns > 0 && c.drill.Method != club.Free {
			top = max(top, c.drill.Rung)
		}
	}
	hints := []DrillHint{}
	for _, r := range k.ladder {
		if r.Rung > top && (len(hints) == 0 || r.Rung == hints[0].Rung) {
			hints = append(hints, hint(r))
		}
	}
	return hints
}

// balance splits the strokes by method.
func (k *Counter) balance(d *draft) Balance {
	b := Balance{Wish: k.o.Wish}
	if !(b.Wish > 0 && b.Wish <= 1) {
		b.Wish = 0.5
	}
	for _, g := range d.Methods {
		switch g.Method {
		case club.Regular:
			b.Regular = g.Strokes
		case club.Irregular:
			b.Irregular = g.Strokes
		default:
			b.Free = g.Strokes
		}
	}
	b.Share = ShareOf(b.Irregular, b.Regular+b.Irregular)
	if b.Share == nil {
		b.Say = "No strokes of regular or irregular drills are logged."
		return b
	}
	b.Say = fmt.Sprintf("%s %% of the strokes in regular and irregular drills were irregular; the club wishes %s %%", percentage(b.Share.Rate), percentage(b.Wish))
	switch off := b.Share.Rate - b.Wish; {
	case off > 0.1:
		b.Say += ": more regular drills would bring it closer."
	case off < -0.1:
		b.Say += ": more irregular drills would bring it closer."
	default:
		b.Say += "."
	}
	return b
}

// percent is "22 % (14–33)".
func percent(s *Share) string {
	return fmt.Sprintf("%s %% (%s–%s)", percentage(s.Rate), percentage(s.Low), percentage(s.High))
}

func percentage(p float64) string { return fmt.Sprintf("%.0f", math.Round(100*p)) }
