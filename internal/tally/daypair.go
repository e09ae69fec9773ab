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
		b.pairs[by] = make([]dayPairs, len(k.faults))
	}
	x, n := make([][sessionParts]int32, len(k.faults)), make([][sessionParts]int32, len(k.faults))
	days, both := make([]int, int(pairings)*len(k.faults)), make([][]Pair, int(pairings)*len(k.faults))
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
				one, two, at := 2*by, 2*by+1, by*len(k.faults)+f
				d := Pair{float64(x[f][one]), float64(n[f][one]), float64(x[f][two]), float64(n[f][two])}
				if d.N1+d.N2 == 0 {
					continue
				}
				days[at]++
				b.pairs[by][f].add(d)
				if d.N1 > 0 && d.N2 > 0 {
					both[at] = append(both[at], d)
				}
			}
		}
	}
	for by := range b.pairs {
		for f := range k.faults {
			p, at := &b.pairs[by][f], by*len(k.faults)+f
			p.several, p.pairs = days[at] > 1, AlikePairs(both[at])
		}
	}
}

// add counts a day.
func (p *dayPairs) add(d Pair) {
	p.first.Add(int(d.X1), int(d.N1))
	p.second.Add(int(d.X2), int(d.N2))
	if d.N1 > 0 && d.N2 > 0 {
		p.both += d.N1 * d.N2
		p.strokes += d.N1 + d.N2
		p.squares += (d.N1 + d.N2) * 2 * d.weight()
	}
}

func (p *dayPairs) join(o *dayPairs) {
	p.first.join(o.first)
	p.second.join(o.second)
	p.several = p.several || o.several
	p.both += o.both
	p.pairs.join(o.pairs)
	p.strokes += o.strokes
	p.squares += o.squares
}

// pairsOf are the pairs of some players.
func pairsOf(books []*book, by pairing, fault int) (p dayPairs) {
	for _, b := range books {
		p.join(&b.pairs[by][fault])
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
