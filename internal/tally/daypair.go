package tally

import (
	"strokeledger/internal/club"
	"strokeledger/internal/tally/rate"
)

// sessionPart is a part of a training day's drills that is compared with another.
type sessionPart int

const (
	inRegular sessionPart = iota
	inIrregular
	onPassive // the partner's block
	onActive
	sessionParts
)

// partsOf says to which parts a drill belongs.
func partsOf(d club.Drill) (parts [2]sessionPart, n int) {
	add := func(p sessionPart) { parts[n], n = p, n+1 }
	switch d.Method {
	case club.Regular:
		add(inRegular)
	case club.Irregular:
		add(inIrregular)
	}
	switch d.Ball {
	case club.PassiveBlock:
		add(onPassive)
	case club.ActiveBlock:
		add(onActive)
	}
	return parts, n
}

// apportioned are the strokes of a training day that were looked at for some faults, by
// part and by what could have happened on them: on forehands, backhands, any.
type apportioned struct {
	faults *faultSet
	n      [sessionParts][knownForehand]int32
}

// apportion counts a turn's part for the parts of its drill.
func (s *sessionCount) apportion(p *part, d club.Drill) {
	in, n := partsOf(d)
	if n == 0 || p.n[onAny] == 0 {
		return
	}
	at := -1
	for i := range s.byPart {
		if s.byPart[i].faults == p.faults {
			at = i
		}
	}
	if at < 0 {
		at = len(s.byPart)
		s.byPart = append(s.byPart, apportioned{faults: p.faults})
	}
	for _, i := range in[:n] {
		for e := range s.byPart[at].n[i] {
			s.byPart[at].n[i][e] += int32(p.n[e])
		}
	}
}

// pairing says which two parts are compared.
type pairing int

const (
	byMethod pairing = iota // inRegular and inIrregular
	byBlock                 // onPassive and onActive
	pairings
)

// pairUp works out the pairs of a player's days, by pairing and fault.
func (b *book) pairUp(k *Counter) {
	for by := range b.pairs {
		b.pairs[by] = make([]rate.DayPairs, len(k.faults))
	}
	x, n := make([][sessionParts]int32, len(k.faults)), make([][sessionParts]int32, len(k.faults))
	days, both := make([][pairings]int, len(k.faults)), make([][pairings]rate.Pairs, len(k.faults))
	for i := range b.sessions {
		s := &b.sessions[i]
		if len(s.byPart) == 0 {
			continue
		}
		clear(x)
		clear(n)
		for j := range s.faults {
			x[s.faults[j].fault] = s.faults[j].byPart
		}
		for j := range s.byPart {
			for f := range k.faults {
				if p := &s.byPart[j]; p.faults.has(f) {
					own := exposureOf(k.faults[f].Sides)
					for part := range n[f] {
						n[f][part] += p.n[part][own]
					}
				}
			}
		}
		for f := range k.faults {
			for by := range b.pairs {
				x1, n1, x2, n2 := x[f][2*by], n[f][2*by], x[f][2*by+1], n[f][2*by+1]
				if n1+n2 > 0 {
					days[f][by]++
					b.pairs[by][f].Add(int(x1), int(n1), int(x2), int(n2))
					both[f][by].Add(float64(x1), float64(n1), float64(x2), float64(n2))
				}
			}
		}
	}
	for by := range b.pairs {
		for f := range k.faults {
			p := &b.pairs[by][f]
			p.Several, p.Pairs = days[f][by] > 1, both[f][by].Alike()
		}
	}
}

// pairsOf are the pairs of some players.
func pairsOf(books []*book, by pairing, fault int) (p rate.DayPairs) {
	for _, b := range books {
		p.Join(&b.pairs[by][fault])
	}
	return p
}
