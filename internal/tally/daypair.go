package tally

import "strokeledger/internal/club"

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

// inPart is x of n strokes of a part on that date.
func (s *sessionCount) inPart(fault int, e exposure, part sessionPart) (x, n int) {
	for i := range s.byPart {
		if s.byPart[i].faults.has(fault) {
			n += int(s.byPart[i].n[part][e])
		}
	}
	if n > 0 {
		for i := range s.faults {
			if int(s.faults[i].fault) == fault {
				x = int(s.faults[i].byPart[part])
			}
		}
	}
	return x, n
}

// dayPairs are two parts of training days: a player may be good or bad at each of them
// on a day as a whole, so what is compared over days is days and not turns.
type dayPairs struct {
	first, second Moments // over training days
	several       bool    // some player has more days than one
	both          float64 // sum over days of the product of the two parts' strokes
	pairs         Alike   // how far differences of a day's two parts lie apart, round the player's
	strokes       float64 // of days with both parts
	squares       float64 // sum of those times how many share the day's form of their part
}

// pairDays takes a fault's days of some players.
func (k *Counter) pairDays(books []*book, fault int, first, second sessionPart) (p dayPairs) {
	own := exposureOf(k.faults[fault].Sides)
	for _, b := range books {
		days, pairs := 0, []Pair(nil)
		for i := range b.sessions {
			x1, n1 := b.sessions[i].inPart(fault, own, first)
			x2, n2 := b.sessions[i].inPart(fault, own, second)
			if n1+n2 == 0 {
				continue
			}
			days++
			p.first.Add(x1, n1)
			p.second.Add(x2, n2)
			p.both += float64(n1) * float64(n2)
			if n1 > 0 && n2 > 0 {
				d := Pair{float64(x1), float64(n1), float64(x2), float64(n2)}
				pairs = append(pairs, d)
				p.strokes += d.N1 + d.N2
				p.squares += (d.N1 + d.N2) * 2 * d.weight()
			}
		}
		p.several = p.several || days > 1
		p.pairs.join(AlikePairs(pairs))
	}
	return p
}

// with is Likeness.with of the days: what both parts of a day share falls out of the
// difference as far as the parts lie on the same days, and the rest is of whole days.
func (p *dayPairs) with(pairs, days Likeness) (correlation, freedom float64) {
	n1, n2 := float64(p.first.N), float64(p.second.N)
	one, two := float64(p.first.NN)/(n1*n1), float64(p.second.NN)/(n2*n2)
	alone := 1 - 2*p.both/(n1*n2)/(one+two)
	own := p.first.alike()
	own.join(p.second.alike())
	c1, f1 := pairs.with(p.pairs)
	c2, f2 := days.with(own)
	return (1-alone)*c1 + alone*max(c1, c2), (1-alone)*f1 + alone*f2
}

// Pair is one training day of a player: x1 of n1 strokes of one part with the fault,
// x2 of n2 of another.
type Pair struct{ X1, N1, X2, N2 float64 }

// weight of the difference, of Mantel and Haenszel.
func (d Pair) weight() float64 { return d.N1 * d.N2 / (d.N1 + d.N2) }

// AlikePairs says how alike the strokes of one part of a day are, beyond what the day
// makes of both, which falls out of their difference; days of one player, with strokes
// in both parts. The variance of the difference is the sum of pq(1 + ρ(n - 1))/n of the
// parts, and the squares round the weighted mean have the mean of these, each times
// w(1 - w/W).
//
// Source: weighted least squares as in FitLine; the weights are those of Mantel N,
// Haenszel W (1959) J Natl Cancer Inst 22:719-748 (from memory).
func AlikePairs(days []Pair) (a Alike) {
	if len(days) < 2 {
		return a
	}
	var all Pair
	var w, wd float64
	for _, d := range days {
		all.X1, all.N1, all.X2, all.N2 = all.X1+d.X1, all.N1+d.N1, all.X2+d.X2, all.N2+d.N2
		w += d.weight()
		wd += d.weight() * (d.X2/d.N2 - d.X1/d.N1)
	}
	r1, r2 := all.X1/all.N1, all.X2/all.N2
	v1, v2 := r1*(1-r1), r2*(1-r2)
	for _, d := range days {
		off := d.X2/d.N2 - d.X1/d.N1 - wd/w
		part := d.weight() * (1 - d.weight()/w)
		a.Apart += d.weight()*off*off - part*(v1/d.N1+v2/d.N2)
		a.Room += part * (v1*(1-1/d.N1) + v2*(1-1/d.N2))
	}
	if !(a.Room > 0) {
		return Alike{}
	}
	a.Free = float64(len(days) - 1)
	a.Less = a.Free * a.Free / float64(len(days))
	return a
}
