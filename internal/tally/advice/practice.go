package advice

import (
	"fmt"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

// why says in which drills a fault shows, and the numbers that say so.
func (e *evidence) why(a *Advice) string {
	r, g, free := perStroke(e.regular), perStroke(e.irregular), perStroke(e.free)
	label := club.Isolated(e.Label)
	var text string
	switch {
	case a.Sentence == freeAlone:
		text = fmt.Sprintf("%s in %s of the strokes in free play, in %s of irregular strokes and %s of regular ones", label, percent(free), percent(g), percent(r))
	case r != nil && g != nil:
		text = fmt.Sprintf("%s in %s of irregular strokes against %s in regular", label, percent(g), percent(r))
	default:
		of, in := free, "free play"
		switch {
		case r != nil:
			of, in = r, "regular drills; irregular ones were not logged"
		case g != nil:
			of, in = g, "irregular drills; regular ones were not logged"
		}
		if !verdict.ComesOften(of) { // it comes often in free play
			of, in = e.PerStroke, "all drills"
		}
		text = fmt.Sprintf("%s in %s of the strokes, in %s", label, percent(of), in)
		if e.fitted {
			text += fmt.Sprintf("; the club's rate is %s %%", wording.Percent(e.Expected.Club, 0))
		}
	}
	switch a.Sentence {
	case breaks:
		a.Where, text = InIrregular, text+": holds when the ball is known, breaks when it is not"
	case moreOften:
		a.Where, text = InIrregular, text+": more often when the ball is not known"
	case thereAlready:
		a.Where, text = InRegular, text+": it is there already when the ball is known"
		if verdict.ComesOften(g) {
			a.Where = InBoth
		}
	case freeAlone:
		a.Where, text = InFree, text+": often in free play, in neither kind of drill"
	}
	if b := e.because(); b != "" && a.Sentence != noDifference { // which says it itself
		text += "; no difference is shown between the two: " + b
	}
	switch worse, better := e.Trend.Shown(); {
	case worse:
		text += "; it is getting worse"
	case better:
		text += "; it is getting better"
	}
	return text
}

// percent is "22 % (14–33)".
func percent(s *rate.Share) string {
	rate, low, high := s.Percents()
	if !s.Known() {
		return rate + " % (too few turns for an interval)"
	}
	return fmt.Sprintf("%s %% (%s–%s)", rate, low, high)
}

// practice says which drills fit, by the sentence.
func (b *Basis) practice(e *evidence, a *Advice) {
	f := b.Fault(e.FaultID)
	switch a.Sentence {
	case breaks, moreOften:
		a.Say = "More irregular practice at the same rung."
		a.Drills = b.drillsAt(club.Irregular, b.shows(club.Irregular, f), f)
	case thereAlready:
		lowest := b.shows(club.Regular, f)
		below := 0
		for _, r := range b.Drills {
			if r.Method == club.Regular && r.Rung < lowest && suits(r, f) {
				below = max(below, r.Rung)
			}
		}
		a.Say = "Back to regular practice at a lower rung."
		if below == 0 {
			below = lowest
			a.Say = "Back to regular practice; the ladder has no lower rung for it, so the same one, slower."
		}
		a.Drills = b.drillsAt(club.Regular, below, f)
	case freeAlone:
		a.Say = "More free play, with the cue in mind."
	case noDifference:
		a.Say = "No difference is shown between regular and irregular drills"
		if b := e.because(); b != "" {
			a.Say += " (" + b + ")"
		}
		a.Say += ": keep the cue in mind in both."
	default:
		b.ask(e, a, f)
	}
}

// ask says what has to be filmed before it is known where a fault belongs.
func (b *Basis) ask(e *evidence, a *Advice, f club.Fault) {
	m, whether := club.Regular, "it holds when the ball is known"
	r, g := perStroke(e.regular), perStroke(e.irregular)
	n := verdict.Missing(r, e.PerStroke, verdict.Conclusive)
	if verdict.Conclusive(r) {
		m, whether = club.Irregular, "it comes more often when the ball is not known"
		n = verdict.Missing(g, e.PerStroke, func(g *rate.Share) bool {
			_, limits := g.Minus(r)
			return limits.High-limits.Low <= verdict.Wide
		})
	}
	a.Asks = m
	l := e.of(m)
	unlooked := 0
	if l != nil {
		unlooked = l.UnlookedStrokes
	}
	a.Say = fmt.Sprintf("Cannot tell yet whether %s: %s.", whether, verdict.Film(n, "of "+string(m)+" drills", unlooked, verdict.TurnsOf(perStroke(l))))
	rung := 0 // the highest that was trained, else the lowest
	for _, d := range b.Trained {
		if d.Method == m && suits(d, f) {
			rung = max(rung, d.Rung)
		}
	}
	for _, r := range b.Drills {
		if rung == 0 && r.Method == m && suits(r, f) {
			rung = r.Rung
		}
	}
	a.Drills = b.drillsAt(m, rung, f)
}

// shows is the rung that shows a fault in the drills of a method: of regular drills in
// which it comes often the lowest, of irregular ones the highest; where it does so in
// none by itself, that of the drill with the most strokes that have it.
func (b *Basis) shows(m club.Method, f club.Fault) int {
	rung, most, at := 0, 0, 0
	for _, d := range b.Trained {
		if d.Method != m {
			continue
		}
		s := b.Share(d.ID, f.ID)
		if s == nil {
			continue
		}
		if s.X > most || s.X == most && d.Rung < at {
			most, at = s.X, d.Rung
		}
		if verdict.ComesOften(s) && (rung == 0 || m == club.Regular && d.Rung < rung || m == club.Irregular && d.Rung > rung) {
			rung = d.Rung
		}
	}
	if rung == 0 {
		return at
	}
	return rung
}

// drillsAt lists drills in use of a method and rung that can show the fault.
func (b *Basis) drillsAt(m club.Method, rung int, f club.Fault) []DrillHint {
	hints := []DrillHint{}
	for _, r := range b.Drills {
		if r.Method != m || r.Rung != rung || !suits(r, f) {
			continue
		}
		enough := slices.ContainsFunc(b.Ladder.Rungs, func(o climb.Rung) bool { return o.DrillID == r.ID && o.Enough })
		hints = append(hints, DrillHint{r.ID, r.Name, r.Method, r.Rung, enough})
	}
	return hints
}

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
