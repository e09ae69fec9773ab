package tally_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// A sheet is held against what its own words promise. The conditions are written here
// once more, from what Sentences says, and the counts are made from the turns.

// reading is one player's sheet and where its numbers come from.
type reading struct {
	*randomClub
	tally.Sheet
	tests int // that were corrected together
	wrong []string
}

func (r *reading) must(ok bool, format string, args ...any) {
	if !ok {
		r.wrong = append(r.wrong, fmt.Sprintf(format, args...))
	}
}

// share is the fault in the drills of a method ("": in all), recounted; nil where
// nothing was looked at.
func (r *reading) share(fault club.ID, m club.Method) *rate.Share {
	groups := append([]group.Group{r.All}, r.Methods...)
	i := slices.IndexFunc(groups, func(g group.Group) bool { return g.Method == m })
	if i < 0 {
		return nil
	}
	at := slices.IndexFunc(groups[i].Faults, func(l group.FaultLine) bool { return l.FaultID == fault })
	s := groups[i].Faults[at].PerStroke
	x, n, left := r.counted(r.PlayerID, r.fault(fault), m)
	r.must(left == groups[i].Faults[at].UnlookedStrokes && (s == nil) == (n == 0) && (s == nil || s.X == x && s.N == n), "%s %s: %+v, counted %d of %d and %d left", fault, m, s, x, n, left)
	return s
}

func (r *reading) fault(id club.ID) club.Fault {
	return r.catalogue.Faults[slices.IndexFunc(r.catalogue.Faults, func(f club.Fault) bool { return f.ID == id })]
}

func (r *reading) line(id club.ID) group.FaultLine {
	return r.All.Faults[slices.IndexFunc(r.All.Faults, func(l group.FaultLine) bool { return l.FaultID == id })]
}

func (r *reading) compared(fault club.ID) *contrast.Comparison {
	for i := range r.Comparisons {
		if c := &r.Comparisons[i]; c.Kind == contrast.Methods && c.FaultID == fault && c.Strokes != nil {
			return c
		}
	}
	return nil
}

func comesOften(s *rate.Share) bool {
	return s != nil && s.Known() && s.N >= 20 && s.Low > .05
}

func isRare(s *rate.Share) bool {
	return s != nil && s.Known() && s.N >= 20 && 20*s.X < s.N && s.High < .1
}

func isKnown(s *rate.Share) bool {
	return comesOften(s) || isRare(s) || s != nil && s.Known() && s.N >= 20 && s.High-s.Low <= .1
}

var methods = []club.Method{club.Regular, club.Irregular, club.Free}

// oftenAnywhere reports whether the fault comes often in all drills or in those of a method.
func (r *reading) oftenAnywhere(f club.ID) bool {
	return comesOften(r.share(f, "")) || slices.ContainsFunc(methods, func(m club.Method) bool { return comesOften(r.share(f, m)) })
}

// rareIn reports whether every fault in use that could come is rare in the drills of a
// method, all of it looked at, and whether all of them are known there.
func (r *reading) rareIn(m club.Method) (rare, known bool) {
	rare, known = slices.ContainsFunc(r.Methods, func(g group.Group) bool { return g.Method == m && g.Strokes > 0 }), true
	for _, f := range r.catalogue.Faults {
		if f.Retired {
			continue
		}
		s := r.share(f.ID, m)
		_, n, left := r.counted(r.PlayerID, f, m)
		if n+left > 0 {
			rare, known = rare && isRare(s) && left == 0, known && isKnown(s) && left == 0
		}
	}
	return rare, known && slices.ContainsFunc(r.Methods, func(g group.Group) bool { return g.Method == m && g.Strokes > 0 })
}

// onFault holds the words on a fault against its numbers, and returns which they are.
func (r *reading) onFault(a advice.Advice) string {
	f := r.fault(a.FaultID)
	known, unknown, free := r.share(f.ID, club.Regular), r.share(f.ID, club.Irregular), r.share(f.ID, club.Free)
	c := r.compared(f.ID)
	differs := c != nil && c.Test != nil && c.Test.Survives
	r.must(!f.Retired && r.oftenAnywhere(f.ID), "listed: %s", a.Why)
	r.must(a.Excess > 0, "listed with no excess: %s", a.Why)
	trend := r.line(f.ID).Trend
	r.must(!strings.Contains(a.Why, "getting worse") || trend.Direction == contrast.Rising && trend.Slope.Low > 0, "%s: %s", a.Why, trend.Say)
	r.must(!strings.Contains(a.Why, "getting better") || trend.Direction == contrast.Falling && trend.Slope.High < 0, "%s: %s", a.Why, trend.Say)
	says := func(part string) bool { return strings.Contains(a.Why+" "+a.Say, part) }
	for _, d := range a.Drills {
		r.must(!r.drill(d.DrillID).Retired && r.drill(d.DrillID).Rung == d.Rung, "%+v", d)
	}
	switch {
	case says("hold when the ball is known"), says("holds when the ball is known, breaks"), says("hold when the ball is known and to break"):
		r.must(isRare(known) && differs && c.Strokes.Low > 0, "breaks: %s", a.Why)
		r.must(says("More irregular practice at the same rung."), "%s", a.Say)
		return "breaks"
	case says("more often when the ball is not known") && !says("Cannot tell"):
		r.must(differs && c.Strokes.Low > 0, "more often: %s", a.Why)
		return "more-often"
	case says("More irregular practice"):
		r.must(differs && c.Strokes.Low > 0, "%s %s", a.Why, a.Say)
		return "more irregular practice"
	case says("there already"), says("it is there when"), says("Back to regular practice"):
		r.must(comesOften(known) && !(differs && c.Strokes.Low > 0), "there already: %s %s", a.Why, a.Say)
		for _, d := range a.Drills {
			r.must(d.Method == club.Regular, "%+v", d)
		}
		return "there-already"
	case says("free play, in neither"), says("do not show it"):
		r.must(comesOften(free) && isKnown(known) && isKnown(unknown) && !comesOften(known) && !comesOften(unknown), "free alone: %s", a.Why)
		return "free-alone"
	case says("No difference is shown"):
		r.must(c != nil && c.Test != nil && !differs && c.Strokes.High-c.Strokes.Low <= .2 && isKnown(known) && !comesOften(known), "no difference: %s", a.Why)
		return "no-difference"
	case says("Cannot tell yet"):
		r.must(!differs || !says("comes more often"), "cannot tell, and compare calls a difference: %s", a.Why)
		for _, d := range a.Drills {
			r.must(says("of "+string(d.Method)+" drills"), "%s %+v", a.Say, d)
		}
		r.asked(a.Say, f.ID)
		return "where-unknown"
	}
	return "log it first"
}

var filmed = regexp.MustCompile(`film (\d+) more strokes? of (regular|irregular) drills`)

// asked holds the strokes that are asked for against what they are asked for: a share
// with so many more is known, with ten fewer it is not.
func (r *reading) asked(say string, fault club.ID) {
	m := filmed.FindStringSubmatch(say)
	if m == nil {
		r.must(false, "how many? %s", say)
		return
	}
	n, _ := strconv.Atoi(m[1])
	s := r.share(fault, club.Method(m[2]))
	all := r.share(fault, "")
	r.must(n%10 == 0 && n >= 10 && n <= 2000, "%d: %s", n, say)
	if !strings.Contains(say, "whether it holds") || n == 2000 {
		return
	}
	have := 0
	if s != nil {
		have, all = s.N, s
	}
	known := func(n int) bool {
		worth := float64(n) * worthOf(all) / float64(all.N)
		low, high := score(all.Rate, worth)
		return n >= 20 && (low > .05 || all.Rate < .05 && high < .1 || high-low <= .1)
	}
	r.must(known(have+n), "%d more of %d at %v are not enough", n, have, *all)
	r.must(n == 10 || n == 20 && s != nil && !s.Known() || !known(have+n-10), "%d more of %d at %v are too many", n, have, *all)
}

// score is the 95 % interval of a rate seen in so many independent strokes (Wilson).
func score(rate, n float64) (low, high float64) {
	const z = 1.959963984540054
	centre, half := rate+z*z/2/n, z*math.Sqrt(rate*(1-rate)/n+z*z/4/n/n)
	return (centre - half) / (1 + z*z/n), (centre + half) / (1 + z*z/n)
}

// worthOf is how many independent strokes have the share's interval, by halving.
func worthOf(s *rate.Share) float64 {
	if !s.Known() {
		return float64(s.N) / (1 + .1*max(0, float64(s.N)/float64(s.Turns)-1))
	}
	few, many := 1., float64(s.N)
	for range 60 {
		mid := (few + many) / 2
		if low, high := score(s.Rate, mid); high-low > s.High-s.Low {
			few = mid
		} else {
			many = mid
		}
	}
	return few
}

// onSheet holds the one sentence against the sheet, and returns which it is.
func (r *reading) onSheet() string {
	w := r.WorkOn
	r.must((w.Say == "") == (len(w.Faults) > 0), "%q with %d faults", w.Say, len(w.Faults))
	looked, open := 0, false
	for _, f := range r.catalogue.Faults {
		if f.Retired {
			continue
		}
		s := r.share(f.ID, "")
		_, n, left := r.counted(r.PlayerID, f, "")
		if n > 0 {
			looked++
		}
		switch {
		case n+left == 0:
		case r.oftenAnywhere(f.ID): // usual: known well enough, and no more than in the club
			open = open || s.High-s.Low > .2 && r.line(f.ID).Expected.Excess <= 0
		default:
			open = open || !isKnown(s)
		}
		if w.Sentence == "none-stands-out" || w.Holds {
			r.must(n+left == 0 || !r.oftenAnywhere(f.ID) || r.line(f.ID).Expected.Excess <= 0, "%s: %+v", w.Say, s)
		}
	}
	says := func(part string) bool { return strings.Contains(w.Say, part) }
	regular, known := r.rareIn(club.Regular)
	irregular, also := r.rareIn(club.Irregular)
	good := func(m club.Method) bool {
		for _, g := range r.Methods {
			if g.Method == m {
				return g.GoodShare != nil && g.GoodShare.Known() && g.GoodShare.Low > .7
			}
		}
		return false
	}
	top := 0
	for _, t := range r.turns {
		if d := r.drill(t.DrillID); t.PlayerID == r.PlayerID && d.Method != club.Free {
			top = max(top, d.Rung)
		}
	}
	next := slices.IndexFunc(r.Ladder.Rungs, func(o climb.Rung) bool { return o.DrillID == r.Ladder.Next })
	r.must(w.Holds == says("The strokes hold"), "%v: %s", w.Holds, w.Say)
	if w.Holds {
		r.must(regular && irregular && good(club.Regular) && good(club.Irregular), "holds: %s", w.Say)
		r.must(says("time to move up") == (next >= 0 && r.Ladder.Rungs[max(0, next)].Rung > top), "next is %d, trained %d: %s", next, top, w.Say)
		r.must(says("no higher rung") == (next < 0), "next is %d: %s", next, w.Say)
	}
	for _, h := range w.MoveUp {
		at := slices.IndexFunc(r.Ladder.Rungs, func(o climb.Rung) bool { return o.DrillID == h.DrillID })
		r.must(w.Holds && !r.Ladder.Rungs[at].Passed && !r.Ladder.Rungs[at].Retired && next >= 0 && h.Rung == r.Ladder.Rungs[next].Rung, "%+v: %s", h, w.Say)
	}
	switch {
	case len(w.Faults) > 0:
		return "listed"
	case says("No strokes are logged"):
		r.must(r.All.Strokes == 0, "%s", w.Say)
	case says("Nobody has looked"), says("No fault in use can"):
		r.must(looked == 0, "%s", w.Say)
	case says("Cannot tell yet whether the strokes hold"):
		r.must(!open && (!known || !also), "%s", w.Say)
	case says("Cannot tell yet whether"):
		r.must(open, "%s", w.Say)
	case says("That the strokes hold is not shown"):
		r.must(regular && irregular && !(good(club.Regular) && good(club.Irregular)), "%s", w.Say)
	case says("stands out"):
		r.must(!open, "%s", w.Say)
	}
	return string(w.Sentence)
}

// together holds the parts of one sheet against each other: what contradicts is listed
// in DEVELOPERS.md.
func (r *reading) together() {
	enough := map[club.ID]bool{}
	for _, o := range r.Ladder.Rungs {
		enough[o.DrillID] = o.Enough
		if ch := o.Chance; ch != nil {
			told := !strings.Contains(ch.Say, "Cannot tell")
			low, high := score(float64(ch.Good)/float64(ch.Strokes), float64(ch.Strokes))
			r.must(told == (ch.Strokes >= 20), "%+v", *ch)
			r.must(math.Abs(ch.Low-math.Pow(max(0, low), float64(ch.Target))) < 1e-9 && math.Abs(ch.High-math.Pow(high, float64(ch.Target))) < 1e-9, "%+v", *ch)
		}
	}
	hints := slices.Clone(r.WorkOn.MoveUp)
	for _, a := range r.WorkOn.Faults {
		hints = append(hints, a.Drills...)
		c := r.compared(a.FaultID)
		says := a.Why + " " + a.Say
		called := c != nil && c.Test != nil && c.Test.Survives
		r.must(!strings.Contains(says, "More irregular practice") || called && c.Strokes.Difference > 0, "compare calls %v: %s", called, says)
		r.must(!strings.Contains(says, "No difference is shown") || !called, "compare calls a difference: %s", says)
		r.must(!(strings.Contains(says, "Back to regular") && called && c.Strokes.Low > 0), "compare calls a difference: %s", says)
		r.must(!(strings.Contains(says, "Back to regular") && strings.Contains(r.Balance.Say, "more irregular")), "%s %s", says, r.Balance.Say)
		r.must(!(strings.Contains(says, "More irregular") && strings.Contains(r.Balance.Say, "more regular")), "%s %s", says, r.Balance.Say)
		r.must(!(strings.Contains(says, "of regular drills.") && strings.Contains(r.Balance.Say, "more irregular")), "%s %s", says, r.Balance.Say)
	}
	r.verdicts()
	r.nextRung()
	r.must(!strings.Contains(r.Balance.Say, "closer") || r.Balance.Regular+r.Balance.Irregular >= 20 && math.Abs(r.Balance.Share.Rate-r.Balance.Goal) > .1, "%s", r.Balance.Say)
	for _, h := range hints {
		r.must(h.Enough == enough[h.DrillID], "%+v, the ladder says enough: %v", h, enough[h.DrillID])
	}
	r.must(len(r.WorkOn.Cautions) == 3, "cautions")
}

// truly reports whether what is claimed of a fault holds of the rates that were drawn.
func truly(id string, regular, irregular float64) bool {
	switch id {
	case "breaks":
		return regular < .1 && irregular > regular
	case "more-often", "more irregular practice":
		return irregular > regular
	case "there-already":
		return regular >= .05
	}
	return true
}

func (r *reading) trulyHolds() bool {
	for _, f := range r.catalogue.Faults {
		rate := r.rate[[2]club.ID{r.PlayerID, f.ID}]
		_, n, _ := r.counted(r.PlayerID, f, club.Regular)
		_, m, _ := r.counted(r.PlayerID, f, club.Irregular)
		if !f.Retired && (n > 0 && rate[club.Regular] > .1 || m > 0 && rate[club.Irregular] > .1) {
			return false
		}
	}
	return min(r.good[r.PlayerID][club.Regular], r.good[r.PlayerID][club.Irregular]) > .7
}

// Nothing is said that the numbers do not carry, and no sheet contradicts itself. With
// SENTENCES=… so many clubs are drawn, and how often each sentence came is printed.
func TestWordsThatNumbersCarry(t *testing.T) {
	clubs := 1500
	if n, err := strconv.Atoi(os.Getenv("SENTENCES")); err == nil {
		clubs = n
	}
	if testing.Short() {
		clubs = 300
	}
	said, wrong, untrue, sheets := map[string]int{}, map[string]int{}, map[string]int{}, 0
	for seed := range uint64(clubs) {
		c := drawClub(seed)
		sum := tally.SummariseWith(c.catalogue, c.turns, c.options)
		for _, p := range sum.Players {
			r := &reading{randomClub: c, Sheet: p, tests: sum.Tested.Tests}
			sheets++
			said[r.onSheet()]++
			if p.WorkOn.Holds && !r.trulyHolds() {
				untrue[string(p.WorkOn.Sentence)]++
			}
			for _, a := range p.WorkOn.Faults {
				id := r.onFault(a)
				said[id]++
				if rate := c.rate[[2]club.ID{p.PlayerID, a.FaultID}]; !truly(id, rate[club.Regular], rate[club.Irregular]) {
					untrue[id]++
				}
			}
			r.together()
			for i, w := range r.wrong {
				wrong[strings.Split(w, ":")[0]]++
				if i == 0 {
					assert.Empty(t, w, "club %d, %s", seed, p.Name)
				}
			}
		}
	}
	for _, s := range advice.Sentences() {
		if s.On == advice.OnFault || s.On == advice.OnSheet {
			assert.Positive(t, said[string(s.ID)], "%s is never said", s.ID)
		}
	}
	for id, n := range untrue {
		assert.LessOrEqual(t, n, max(4, said[id]/20), "%s was untrue %d of %d times", id, n, said[id])
	}
	t.Logf("untrue: %v", untrue)
	t.Logf("%d sheets: %v; wrong: %v", sheets, said, wrong)
}
