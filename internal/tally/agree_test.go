package tally_test

import (
	"fmt"
	"slices"
	"strings"

	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/contrast"
)

// reason is why a test calls nothing where its interval, which leaves "nothing" out or
// not, may be read otherwise.
func (r *reading) reason(t *contrast.Test, out bool, nothing string) string {
	switch {
	case t == nil, t.Survives, !out && t.Adjusted > .05:
		return ""
	case !out:
		return "its test holds, but the interval does not leave " + nothing + " out"
	case t.P > .05:
		return "the interval leaves " + nothing + " out, but its test does not hold"
	}
	return fmt.Sprintf("the interval leaves %s out, but %d things were tested", nothing, r.tests)
}

// verdicts holds what Compare, Over time and Work on next say of the same numbers
// against each other, and against the interval that stands beside them: where that leaves
// nought out and nothing is called, each of them says why.
func (r *reading) verdicts() {
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		out, nothing, told := false, "0", true
		switch {
		case c.Strokes != nil:
			out, told = c.Strokes.Low > 0 || c.Strokes.High < 0, !c.Strokes.TooFewTurns
		case c.Minutes.TooFewTurns:
			told = false
		default:
			out, nothing = c.Minutes.Low > 1 || c.Minutes.High != nil && *c.Minutes.High < 1, "1"
		}
		what := "difference"
		if c.Kind == contrast.Periods {
			what = "change"
		}
		want := "no " + what + " shown"
		switch because := r.reason(c.Test, out, nothing); {
		case !told:
			want = "too few turns to tell"
		case c.Test == nil:
			want = "nothing to test"
		case c.Test.Survives:
			want = "a " + what
			r.must(out, "%s %s: called, and the interval holds %s", c.Kind, c.Code, nothing)
		case because != "":
			want += ": " + because
		}
		r.must(c.Say == want, "verdict: %q, not %q", c.Say, want)
		if c.Kind != contrast.Methods || c.Strokes == nil {
			continue
		}
		for _, a := range r.WorkOn.Faults {
			if says := a.Why + " " + a.Say; a.FaultID == c.FaultID && out && !c.Test.Survives {
				r.must(strings.Contains(says, r.reason(c.Test, out, nothing)) && strings.Contains(strings.ToLower(says), "no difference is shown"), "not the reason of Compare: %s", says)
			} else if a.FaultID == c.FaultID {
				r.must(!strings.Contains(says, "but its test") && !strings.Contains(says, "were tested"), "a reason for nothing: %s", says)
			}
		}
	}
	for _, l := range r.All.Faults {
		if t := l.Trend; t != nil && t.Slope != nil && t.Test != nil {
			because := r.reason(t.Test, t.Slope.Low > 0 || t.Slope.High < 0, "0")
			r.must(strings.HasSuffix(t.Say, "; "+because+".") == (because != ""), "trend: %s; %s", t.Say, because)
		}
	}
}

// nextRung holds the drills of the fault that comes first against the ladder's next rung:
// where they differ, the sheet says why.
func (r *reading) nextRung() {
	w := r.WorkOn
	if len(w.Faults) == 0 || len(w.Faults[0].Drills) == 0 {
		r.must(w.Ladder == "", "no drill is named: %s", w.Ladder)
		return
	}
	same := slices.ContainsFunc(w.Faults[0].Drills, func(d advice.DrillHint) bool { return d.DrillID == r.Ladder.Next })
	r.must(same == (w.Ladder == ""), "next is %s, %+v: %s", r.Ladder.Next, w.Faults[0].Drills, w.Ladder)
	if !same {
		r.must(strings.Contains(w.Ladder, "by good strokes in a row, this list by faults"), "no reason: %s", w.Ladder)
		r.must(strings.Contains(w.Ladder, "Every rung") == (r.Ladder.Next == ""), "next is %s: %s", r.Ladder.Next, w.Ladder)
		r.must(r.Ladder.Next == "" || strings.Contains(w.Ladder, r.drill(r.Ladder.Next).Name), "next is %s: %s", r.Ladder.Next, w.Ladder)
	}
}
