package tally

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
	Periods ComparisonKind = "period" // before Summary.Split, then from that day on
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
// 95 % interval (see PacesApart). Ratio and High are nil where the first has no
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

// comparisons makes every comparison that a sheet has the turns for. The tests
// are given to d, to be adjusted once all are made.
func (k *Counter) comparisons(d *draft, books []*book) []Comparison {
	list := []Comparison{}
	parts := func(kind ComparisonKind, first, second string, one, two *accumulator, e1, e2 exposure, of func(club.Fault) bool) {
		for _, l := range d.All.Faults {
			f := k.faultAt[l.FaultID]
			if !of(k.faults[f]) {
				continue
			}
			c := Comparison{Kind: kind, First: first, Second: second, FaultID: l.FaultID, Code: l.Code, Label: l.Label}
			if e1 == ownExposure {
				own := exposureOf(k.faults[f].Sides)
				strokes, likeness := [2]rate.Moments{one.moments(f, own), two.moments(f, own)}, k.alike.turns[f]
				minutes := [2]rate.Minutes{one.minutes(f), two.minutes(f)}
				if kind == Periods {
					strokes, minutes = k.days(books, f)
					likeness = k.alike.days[f]
				}
				if kind == Methods {
					c.setByDay(strokes[0], strokes[1], likeness, pairsOf(books, byMethod, f), k.alike.pairs[f], k.alike.days[f])
				} else if kind == Blocks {
					c.setByDay(strokes[0], strokes[1], likeness, pairsOf(books, byBlock, f), k.alike.pairs[f], k.alike.days[f])
				} else {
					c.set(strokes[0], strokes[1], likeness)
				}
				if c.Strokes == nil {
					c.setMinutes(minutes[0], minutes[1], k.alike.minutes[f])
				}
			} else {
				c.set(one.moments(f, e1), two.moments(f, e2), k.alike.turns[f])
			}
			if c.Strokes == nil && c.Minutes == nil {
				continue
			}
			if c.Test != nil {
				d.tests = append(d.tests, c.Test)
			}
			list = append(list, c)
		}
	}
	every := func(club.Fault) bool { return true }
	of := func(is func(club.Drill) bool) *accumulator {
		p := &accumulator{}
		for _, c := range d.cells {
			if is(c.drill) {
				p.join(&c.parts[0])
				p.join(&c.parts[1])
			}
		}
		return p
	}
	method := func(m club.Method) *accumulator {
		if h := d.methods[m]; h != nil {
			return &h.accumulator
		}
		return &accumulator{}
	}
	ball := func(b club.Ball) *accumulator { return of(func(d club.Drill) bool { return d.Ball == b }) }
	parts(Methods, "Regular", "Irregular", method(club.Regular), method(club.Irregular), ownExposure, ownExposure, every)
	if d.brief {
		return list
	}
	parts(SidesOf, "Forehand", "Backhand", &d.all.accumulator, &d.all.accumulator, knownForehand, knownBackhand,
		func(f club.Fault) bool { return f.Sides == club.BothSides })
	parts(Blocks, "Passive block", "Active block", ball(club.PassiveBlock), ball(club.ActiveBlock), ownExposure, ownExposure, every)
	if k.o.Split != "" {
		before, after := &accumulator{}, &accumulator{}
		for _, c := range d.cells {
			before.join(&c.parts[0])
			after.join(&c.parts[1])
		}
		parts(Periods, "Before "+string(k.o.Split), "From "+string(k.o.Split), before, after, ownExposure, ownExposure, every)
	}
	return list
}

// ownExposure stands for the strokes on which a fault could have happened.
const ownExposure exposure = -1

// set compares per stroke, where both parts have strokes.
func (c *Comparison) set(one, two rate.Moments, l rate.Likeness) {
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

// setByDay is set where a player's strokes come from several days: the interval and the
// test are of the days then.
func (c *Comparison) setByDay(one, two rate.Moments, turns rate.Likeness, d rate.DayPairs, pairs, days rate.Likeness) {
	c.set(one, two, turns)
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

// days are the training days of players before the split and from it on: a player has
// better and worse ones, so what is compared over dates is days and not turns.
func (k *Counter) days(books []*book, fault int) (strokes [2]rate.Moments, minutes [2]rate.Minutes) {
	for _, b := range books {
		for i := range b.sessions {
			s := &b.sessions[i]
			m, t := s.moments(fault, k.faults[fault].Sides)
			part := 0
			if k.dates[s.day] >= k.o.Split {
				part = 1
			}
			strokes[part].Add(m.X, m.N)
			minutes[part].Add(t.X, t.T)
		}
	}
	return strokes, minutes
}

// setMinutes compares per minute, where both parts have turns without strokes.
func (c *Comparison) setMinutes(one, two rate.Minutes, l rate.Likeness) {
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
	c.Test = &Test{P: r.P, Shown: r.Low > 1 || r.High < 1}
}

// contrasts is the comparison of methods per stroke, in the older form.
func contrasts(list []Comparison) []Contrast {
	out := []Contrast{}
	for _, c := range list {
		if c.Kind == Methods && c.Strokes != nil {
			s := c.Strokes
			out = append(out, Contrast{
				FaultID: c.FaultID, Code: c.Code, Label: c.Label, Regular: s.First, Irregular: s.Second,
				Difference: s.Difference, Low: s.Low, High: s.High, TooFewTurns: s.TooFewTurns,
			})
		}
	}
	return out
}
