package tally

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/streak"
	"strokeledger/internal/tally/wording"
)

// climbs is what a player has done at one rung, whatever the period.
type climbs struct {
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

// add counts a turn. Turns come in order of date.
func (c *climbs) add(r *club.TurnRecord, run run, inside bool, target int, lean bool) {
	n := len(r.Strokes)
	if n == 0 {
		return
	}
	c.tries++
	c.best = max(c.best, run.longest)
	c.strokes += n
	c.good += run.good
	if inside {
		c.recent[0] += n
		c.recent[1] += run.good
	}
	c.lengths = append(c.lengths, n)
	if r.Date != c.lastDate {
		c.lastDate, c.onLastDate = r.Date, 0
	}
	c.onLastDate++
	if run.longest < target && lean {
		return
	}
	try := Try{Date: r.Date, TurnID: r.ID, ClipID: r.ClipID, Frame: r.First, Strokes: n, Longest: run.longest, Current: run.current, Reached: run.longest >= target}
	if try.Reached && c.firstReached == nil {
		c.firstReached = &try
	}
	if !lean {
		c.history = append(c.history, try)
	}
}

// assumption goes with every chance of a streak.
const assumption = "This takes every stroke as good or missed by itself, with one rate that stays as it is: in a rally, and under the pressure of the last strokes, that is a strong assumption. Ten in a row is common practice, without a source; passing once is weak evidence of a high rate."

// ladderOf is the player's ladder.
func (k *Counter) ladderOf(player club.ID, b *book) *Ladder {
	l := &Ladder{Rungs: []Rung{}, Assume: assumption, TriesCap: k.o.TriesCap}
	done := map[club.ID]*climbs{}
	drills := slices.Clone(k.ladder)
	for _, c := range b.cells {
		if c.climbs.tries == 0 {
			continue
		}
		done[c.drill.ID] = &c.climbs
		if c.drill.Retired {
			drills = append(drills, c.drill)
		}
	}
	if len(drills) > len(k.ladder) {
		sortDrills(drills)
	}
	for _, d := range drills {
		r := k.rung(player, d, done[d.ID])
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

func (k *Counter) rung(player club.ID, d club.Drill, c *climbs) Rung {
	r := Rung{DrillID: d.ID, Name: d.Name, Method: d.Method, Rung: d.Rung, Target: d.Streak, Retired: d.Retired, History: []Try{}}
	if c != nil {
		r.Tries, r.Best, r.Strokes, r.Good = c.tries, c.best, c.strokes, c.good
		if c.history != nil {
			r.History = c.history
		}
		if t := c.firstReached; t != nil {
			r.Passed, r.PassedOn, r.By = true, t.Date, ByTurn
			r.TurnID, r.ClipID, r.Frame = t.TurnID, t.ClipID, t.Frame
		}
		if c.lastDate == k.today() {
			r.TriesToday = c.onLastDate
			r.Enough = k.o.TriesCap > 0 && r.TriesToday >= k.o.TriesCap
			r.Say = triesText(r.TriesToday, k.o.TriesCap)
		}
		if !k.o.Lean {
			r.Chance = chanceOf(c, d.Streak)
		}
	}
	if w := k.ruling(player, d.ID); w != nil {
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

// today is the day of the tries that count as today's.
func (k *Counter) today() club.Date {
	if k.o.Today == "" && len(k.dates) > 0 {
		return k.dates[len(k.dates)-1]
	}
	return k.o.Today
}

// ruling is the last word of a coach on the rung up to the end of the period, nil
// for none.
func (k *Counter) ruling(player, drill club.ID) *club.Ruling {
	var last *club.Ruling
	for i := range k.o.Rulings {
		w := &k.o.Rulings[i]
		if w.PlayerID != player || w.DrillID != drill || k.o.To != "" && w.Date > k.o.To {
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
func chanceOf(c *climbs, target int) *Chance {
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
	if ch.Strokes < enoughStrokes {
		return fmt.Sprintf("Cannot tell yet how many turns would be clean: %d of %s good so far; %s.", ch.Good, wording.Count(ch.Strokes, "stroke"), film(enoughStrokes-ch.Strokes, "", 0, anyTurns))
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
