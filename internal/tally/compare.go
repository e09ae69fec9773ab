package tally

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
)

// comparisons makes every comparison that a sheet has the turns for. The tests
// are given to d, to be adjusted once all are made.
func (k *Counter) comparisons(d *draft, books []*book) []contrast.Comparison {
	list := []contrast.Comparison{}
	parts := func(kind contrast.ComparisonKind, first, second string, one, two *accumulator, e1, e2 exposure, of func(club.Fault) bool) {
		for _, l := range d.All.Faults {
			f := k.faultAt[l.FaultID]
			if !of(k.faults[f]) {
				continue
			}
			c := contrast.Comparison{Kind: kind, First: first, Second: second, FaultID: l.FaultID, Code: l.Code, Label: l.Label}
			if e1 == ownExposure {
				own := exposureOf(k.faults[f].Sides)
				strokes, likeness := [2]rate.Moments{one.moments(f, own), two.moments(f, own)}, k.alike.turns[f]
				minutes := [2]rate.Minutes{one.minutes(f), two.minutes(f)}
				if kind == contrast.Periods {
					strokes, minutes = k.days(books, f)
					likeness = k.alike.days[f]
				}
				if kind == contrast.Methods {
					c.OfDays(strokes[0], strokes[1], likeness, pairsOf(books, byMethod, f), k.alike.pairs[f], k.alike.days[f])
				} else if kind == contrast.Blocks {
					c.OfDays(strokes[0], strokes[1], likeness, pairsOf(books, byBlock, f), k.alike.pairs[f], k.alike.days[f])
				} else {
					c.OfStrokes(strokes[0], strokes[1], likeness)
				}
				if c.Strokes == nil {
					c.OfMinutes(minutes[0], minutes[1], k.alike.minutes[f])
				}
			} else {
				c.OfStrokes(one.moments(f, e1), two.moments(f, e2), k.alike.turns[f])
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
	parts(contrast.Methods, "Regular", "Irregular", method(club.Regular), method(club.Irregular), ownExposure, ownExposure, every)
	if d.brief {
		return list
	}
	parts(contrast.SidesOf, "Forehand", "Backhand", &d.all.accumulator, &d.all.accumulator, knownForehand, knownBackhand,
		func(f club.Fault) bool { return f.Sides == club.BothSides })
	parts(contrast.Blocks, "Passive block", "Active block", ball(club.PassiveBlock), ball(club.ActiveBlock), ownExposure, ownExposure, every)
	if k.o.Split != "" {
		before, after := &accumulator{}, &accumulator{}
		for _, c := range d.cells {
			before.join(&c.parts[0])
			after.join(&c.parts[1])
		}
		parts(contrast.Periods, "Before "+string(k.o.Split), "From "+string(k.o.Split), before, after, ownExposure, ownExposure, every)
	}
	return list
}

// ownExposure stands for the strokes on which a fault could have happened.
const ownExposure exposure = -1

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
