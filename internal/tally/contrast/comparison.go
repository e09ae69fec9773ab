// Package contrast sets parts of a sheet against each other, and its sessions along a
// line: comparisons and trends, their tests, and what remains of these after the
// correction for being many (Adjust). It is pure.
package contrast

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
	"strokeledger/internal/tally/rate"
)

// ComparisonKind says which two parts of a sheet are compared.
type ComparisonKind string

const (
	Methods ComparisonKind = "method" // regular, then irregular
	SidesOf ComparisonKind = "side"   // forehand, then backhand: strokes of known side, faults that both can have
	Blocks  ComparisonKind = "block"  // passive block, then active block
	Periods ComparisonKind = "period" // before a day, then from it on
	Players ComparisonKind = "player" // a player, then another one or the rest of the club
)

// Comparison sets one fault in one part of a sheet against the same fault in
// another that shares no stroke with it, second minus first. Exactly one of
// Strokes and Minutes is set: the two are never mixed.
type Comparison struct {
	Kind    ComparisonKind `json:"kind"`
	First   string         `json:"first"`  // "Regular", "Forehand", "Passive block", "Before 2026-03-01"
	Second  string         `json:"second"` // "Irregular", "Backhand", "Active block", "From 2026-03-01"
	FaultID club.ID        `json:"fault_id"`
	Code    string         `json:"code"`
	Label   string         `json:"label"`
	Strokes *StrokePair    `json:"strokes"`
	Minutes *MinutePair    `json:"minutes"` // where one of the two has no logged strokes and both have turns without
	Test    *Test          `json:"test"`    // nil where neither part has the fault, or too few turns were seen
	// Say is what the comparison shows, in words, once Conclude is called: "a difference",
	// "no difference shown: …", "too few turns to tell" or "nothing to test".
	Say string `json:"say"`
}

// Conclude says what comparisons show, once their tests are adjusted.
func Conclude(list []Comparison) {
	for i := range list {
		list[i].Say = list[i].text()
	}
}

func (c *Comparison) text() string {
	what := "difference"
	if c.Kind == Periods {
		what = "change"
	}
	switch {
	case c.Strokes != nil && c.Strokes.TooFewTurns, c.Minutes != nil && c.Minutes.TooFewTurns:
		return "too few turns to tell"
	case c.Test == nil:
		return "nothing to test"
	case c.Test.Survives:
		return "a " + what
	case c.Test.Because != "":
		return "no " + what + " shown: " + c.Test.Because
	}
	return "no " + what + " shown"
}

// StrokePair is a difference of two rates per stroke, second minus first, with
// its 95 % interval: Newcombe's, on the intervals of the two shares. The turns of two
// periods are taken by training day.
type StrokePair struct {
	First      rate.Share `json:"first"`
	Second     rate.Share `json:"second"`
	Difference float64    `json:"difference"` // -1 to 1
	Low        float64    `json:"low"`
	High       float64    `json:"high"`
	// TooFewTurns is set where too few turns were seen, or too few faults in them, to
	// tell whether the two differ: there is no test, and the interval, -1 to 1, leaves
	// nothing out.
	TooFewTurns bool `json:"too_few_turns"`
}

// MinutePair is a ratio of two rates per minute, second over first, with its
// 95 % interval (see rate.PacesApart). Ratio and High are nil where the first has no
// mark, since the ratio has no upper end, and where too few turns were seen. The turns
// of two periods are taken by training day.
type MinutePair struct {
	First  rate.Pace `json:"first"`
	Second rate.Pace `json:"second"`
	Ratio  *float64  `json:"ratio"`
	Low    float64   `json:"low"`
	High   *float64  `json:"high"`
	// TooFewTurns is as of StrokePair: there is no test, and nothing of the ratio.
	TooFewTurns bool `json:"too_few_turns"`
}

// OfStrokes compares per stroke, where both parts have strokes.
func (c *Comparison) OfStrokes(one, two rate.Moments, l rate.Likeness) {
	first, second := rate.ShareOver(one, l), rate.ShareOver(two, l)
	if first == nil || second == nil {
		return
	}
	difference, limits := second.Minus(first)
	c.Strokes = &StrokePair{First: *first, Second: *second, Difference: difference, Low: limits.Low, High: limits.High}
	if p, ok := rate.SharesApart(one, two, l); ok && first.Known() && second.Known() {
		c.Test = &Test{P: p, Shown: limits.Low > 0 || limits.High < 0}
		return
	}
	c.Strokes.Low, c.Strokes.High, c.Strokes.TooFewTurns = -1, 1, true
}

// OfDays is OfStrokes where a player's strokes come from several days: the interval and the
// test are of the days then.
func (c *Comparison) OfDays(one, two rate.Moments, turns rate.Likeness, d rate.DayPairs, pairs, days rate.Likeness) {
	c.OfStrokes(one, two, turns)
	if c.Strokes == nil || c.Strokes.TooFewTurns || !d.Several {
		return
	}
	s := c.Strokes
	p, first, second, ok := d.Apart(pairs, days)
	if c.Test = nil; !ok {
		s.Low, s.High, s.TooFewTurns = -1, 1, true
		return
	}
	_, limits := interval.Apart(s.Second.Rate, second, s.First.Rate, first)
	s.Low, s.High = limits.Low, limits.High
	c.Test = &Test{P: p, Shown: limits.Low > 0 || limits.High < 0}
}

// OfMinutes compares per minute, where both parts have turns without strokes.
func (c *Comparison) OfMinutes(one, two rate.Minutes, l rate.Likeness) {
	first, second := rate.PaceOver(one, l), rate.PaceOver(two, l)
	if first == nil || second == nil {
		return
	}
	c.Minutes = &MinutePair{First: *first, Second: *second}
	r, ok := rate.PacesApart(two, one, l)
	if c.Minutes.TooFewTurns = !ok || !first.Known() || !second.Known(); c.Minutes.TooFewTurns {
		return
	}
	c.Minutes.Low = r.Low
	if one.X > 0 {
		c.Minutes.Ratio, c.Minutes.High = &r.Ratio, &r.High
	}
	c.Test = &Test{P: r.P, Shown: r.Low > 1 || r.High < 1, ratio: true}
}

// Contrast sets one fault in irregular drills against the same fault in regular
// ones: the difference of the two rates, irregular minus regular, with its 95 %
// interval (see Difference).
type Contrast struct {
	FaultID     club.ID    `json:"fault_id"`
	Code        string     `json:"code"`
	Label       string     `json:"label"`
	Regular     rate.Share `json:"regular"`
	Irregular   rate.Share `json:"irregular"`
	Difference  float64    `json:"difference"` // -1 to 1
	Low         float64    `json:"low"`
	High        float64    `json:"high"`
	TooFewTurns bool       `json:"too_few_turns"` // to tell: the interval is -1 to 1
	Say         string     `json:"say"`           // as of Comparison
}

// OfMethods is the comparison of methods per stroke, in the older form.
func OfMethods(list []Comparison) []Contrast {
	out := []Contrast{}
	for _, c := range list {
		if c.Kind == Methods && c.Strokes != nil {
			s := c.Strokes
			out = append(out, Contrast{
				FaultID: c.FaultID, Code: c.Code, Label: c.Label, Regular: s.First, Irregular: s.Second,
				Difference: s.Difference, Low: s.Low, High: s.High, TooFewTurns: s.TooFewTurns, Say: c.Say,
			})
		}
	}
	return out
}
