package climb

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/streak"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// Run is how the strokes of a turn went: good ones, the most in a row, and those in a
// row at its end.
type Run struct{ Good, Longest, Current int }

// RunOf counts good strokes, and those in a row as club.TurnRecord.Streak does.
func RunOf(strokes []club.Stroke) (n Run) {
	for i := range strokes {
		if strokes[i].Outcome != club.Good {
			n.Current = 0
			continue
		}
		n.Good++
		n.Current++
		n.Longest = max(n.Longest, n.Current)
	}
	return n
}

// Climb is what a player has done at one rung, whatever the period.
type Climb struct {
	tries         int
	best          int
	strokes, good int
	recent        [2]int // strokes and good ones inside the period
	lengths       []int  // strokes of each try
	firstReached  *Try
	lastDate      club.Date // of the last try
	onLastDate    int       // tries on it
	history       []Try     // none in a lean summary
}

// Add counts a turn that went so. Turns come in order of date.
func (c *Climb) Add(r *club.TurnRecord, run Run, inside bool, target int, lean bool) {
	n := len(r.Strokes)
	if n == 0 {
		return
	}
	c.tries++
	c.best = max(c.best, run.Longest)
	c.strokes += n
	c.good += run.Good
	if inside {
		c.recent[0] += n
		c.recent[1] += run.Good
	}
	c.lengths = append(c.lengths, n)
	if r.Date != c.lastDate {
		c.lastDate, c.onLastDate = r.Date, 0
	}
	c.onLastDate++
	if run.Longest < target && lean {
		return
	}
	try := Try{Date: r.Date, TurnID: r.ID, ClipID: r.ClipID, Frame: r.First, Strokes: n, Longest: run.Longest, Current: run.Current, Reached: run.Longest >= target}
	if try.Reached && c.firstReached == nil {
		c.firstReached = &try
	}
	if !lean {
		c.history = append(c.history, try)
	}
}

// Tried reports whether there was a turn with strokes.
func (c *Climb) Tried() bool { return c.tries > 0 }

// assumption goes with every chance of a streak.
const assumption = "This takes every stroke as good or missed by itself, with one rate that stays as it is: in a rally, and under the pressure of the last strokes, that is a strong assumption. Ten in a row is common practice, without a source; passing once is weak evidence of a high rate."

// Rules are what a ladder is worked out by.
type Rules struct {
	Rulings  []club.Ruling // the coaches' words on rungs
	To       club.Date     // rulings after it do not count; empty: all do
	Today    club.Date     // for the tries of today
	TriesCap int           // tries a day at one rung; 0: none set
	Lean     bool          // without the tries and chances of each rung
}

// Ladder is the player's ladder of those drills, in that order; done is what the player
// did at them, nil where that is nothing.
func (u *Rules) Ladder(player club.ID, drills []club.Drill, done map[club.ID]*Climb) *Ladder {
	l := &Ladder{Rungs: []Rung{}, Assume: assumption, TriesCap: u.TriesCap}
	for _, d := range drills {
		r := u.rung(player, d, done[d.ID])
		l.Rungs = append(l.Rungs, r)
		if d.Retired {
			continue
		}
		l.Of++
		if r.Passed {
			l.Passed++
		} else if l.Next == "" {
			l.Next = d.ID
		}
	}
	return l
}

func (u *Rules) rung(player club.ID, d club.Drill, c *Climb) Rung {
	r := Rung{DrillID: d.ID, Name: d.Name, Method: d.Method, Rung: d.Rung, Target: d.Streak, Retired: d.Retired, History: []Try{}}
	if c != nil {
		r.Tries, r.Best, r.Strokes, r.Good = c.tries, c.best, c.strokes, c.good
		if c.history != nil {
			r.History = c.history
		}
		if first := c.firstReached; first != nil {
			r.Passed, r.PassedOn, r.By = true, first.Date, ByTurn
			r.TurnID, r.ClipID, r.Frame = first.TurnID, first.ClipID, first.Frame
		}
		if c.lastDate == u.Today {
			r.TriesToday = c.onLastDate
			r.Enough = u.TriesCap > 0 && r.TriesToday >= u.TriesCap
			r.Say = triesText(r.TriesToday, u.TriesCap)
		}
		if !u.Lean {
			r.Chance = chanceOf(c, d.Streak)
		}
	}
	if w := u.ruling(player, d.ID); w != nil {
		if !(w.Passed && r.Passed && r.PassedOn <= w.Date) {
			r.PassedOn, r.By = w.Date, ByRuling
		}
		r.Passed, r.CoachID, r.Reason = w.Passed, w.CoachID, w.Reason
		if !w.Passed {
			r.PassedOn, r.By = "", ByRuling
		}
	}
	return r
}

// ruling is the last word of a coach on the rung up to the end of the period, nil
// for none.
func (u *Rules) ruling(player, drill club.ID) *club.Ruling {
	var last *club.Ruling
	for i := range u.Rulings {
		w := &u.Rulings[i]
		if w.PlayerID != player || w.DrillID != drill || u.To != "" && w.Date > u.To {
			continue
		}
		if last == nil || w.Date > last.Date || w.Date == last.Date && w.ID > last.ID {
			last = w
		}
	}
	return last
}

func triesText(n, most int) string {
	tries := fmt.Sprintf("%d tries today", n)
	if n == 1 {
		tries = "1 try today"
	}
	switch {
	case most == 0:
		return tries + "."
	case n >= most:
		return fmt.Sprintf("%s; the club suggests at most %d: let it be for today.", tries, most)
	}
	return fmt.Sprintf("%s; the club suggests at most %d.", tries, most)
}

// chanceOf is how likely a clean streak is for a player who did that, by the
// strokes of the period, or by all where it has none; nil without strokes.
func chanceOf(c *Climb, target int) *Chance {
	strokes, good := c.recent[0], c.recent[1]
	if strokes == 0 {
		strokes, good = c.strokes, c.good
	}
	if strokes == 0 {
		return nil
	}
	lengths := slices.Clone(c.lengths)
	slices.Sort(lengths)
	ch := &Chance{Good: good, Strokes: strokes, Target: target, Turn: max(target, lengths[(len(lengths)-1)/2])}
	ch.Clean = streak.Predict(target, target, good, strokes)
	ch.InTurn = streak.Predict(ch.Turn, target, good, strokes)
	seen := rate.ShareOf(good, strokes)
	power := func(rate float64) float64 { return math.Pow(rate, float64(target)) }
	ch.CleanPlain, ch.Low, ch.High = power(seen.Rate), power(seen.Low), power(seen.High)
	ch.Say = ch.text()
	return ch
}

func (ch *Chance) text() string {
	if ch.Strokes < verdict.EnoughStrokes {
		return fmt.Sprintf("Cannot tell yet how many turns would be clean: %d of %s good so far; %s.", ch.Good, wording.Count(ch.Strokes, "stroke"), verdict.Film(verdict.EnoughStrokes-ch.Strokes, "", 0, verdict.AnyTurns))
	}
	end := func(p float64) string { return strings.TrimPrefix(inTen(p), "about ") }
	say := fmt.Sprintf("At %d of %d good strokes, %s turns of %s would be clean (%s to %s).", ch.Good, ch.Strokes, inTen(ch.Clean), wording.Number(ch.Target), end(ch.Low), end(ch.High))
	if ch.Turn > ch.Target {
		say += fmt.Sprintf(" Within a turn of %d strokes, %s would hold %s in a row.", ch.Turn, inTen(ch.InTurn), wording.Number(ch.Target))
	}
	return say
}

// inTen says a chance as people do.
func inTen(p float64) string {
	switch {
	case p < 0.005:
		return "hardly any"
	case p < 0.095:
		return fmt.Sprintf("about %d in 100", max(1, int(math.Round(100*p))))
	case p > 0.95:
		return "nearly all"
	}
	return fmt.Sprintf("about %d in 10", min(9, max(1, int(math.Round(10*p)))))
}
