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
	days, both := make([][pairings]int, len(k.faults)), make([][pairings]Pairs, len(k.faults))
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
					b.pairs[by][f].add(int(x1), int(n1), int(x2), int(n2))
					both[f][by].Add(float64(x1), float64(n1), float64(x2), float64(n2))
				}
			}
		}
	}
	for by := range b.pairs {
		for f := range k.faults {
			p := &b.pairs[by][f]
			p.several, p.pairs = days[f][by] > 1, both[f][by].Alike()
		}
	}
}

// add counts a day.
func (p *dayPairs) add(x1, n1, x2, n2 int) {
	p.first.Add(x1, n1)
	p.second.Add(x2, n2)
	if both := float64(n1) * float64(n2); both > 0 {
		p.both += both
		p.strokes += float64(n1 + n2)
		p.squares += 2 * both
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

// Pairs are the sums over training days of one player with strokes of two parts: x1 of
// n1 strokes of one with the fault, x2 of n2 of the other.
type Pairs struct {
	Days           int
	x1, n1, x2, n2 float64
	w, wd, wdd     float64 // of the weights, and of those times the difference and its square
	ww, wn1, wn2   float64 // of w², w/n1, w/n2
	wwn1, wwn2     float64 // of w²/n1, w²/n2
}

// Add counts one day; one without strokes of a part is left out. The weight is that
// of Mantel N, Haenszel W (1959) J Natl Cancer Inst 22:719-748: n1 n2/(n1 + n2),
// the inverse of the difference's variance where both parts have one rate.
func (p *Pairs) Add(x1, n1, x2, n2 float64) {
	if n1 == 0 || n2 == 0 {
		return
	}
	w, d := n1*n2/(n1+n2), x2/n2-x1/n1
	p.Days++
	p.x1, p.n1, p.x2, p.n2 = p.x1+x1, p.n1+n1, p.x2+x2, p.n2+n2
	p.w, p.wd, p.wdd, p.ww = p.w+w, p.wd+w*d, p.wdd+w*d*d, p.ww+w*w
	p.wn1, p.wn2, p.wwn1, p.wwn2 = p.wn1+w/n1, p.wn2+w/n2, p.wwn1+w*w/n1, p.wwn2+w*w/n2
}

// Alike says how alike the strokes of one part of a day are, beyond what the day makes
// of both, which falls out of their difference. Its variance is the sum of
// pq(1 + ρ(n - 1))/n of the parts, and the squares round the weighted mean have the mean
// of these, each times w(1 - w/W).
//
// Source: weighted least squares as in FitLine.
func (p *Pairs) Alike() (a Alike) {
	if p.Days < 2 {
		return a
	}
	r1, r2 := p.x1/p.n1, p.x2/p.n2
	v1, v2 := r1*(1-r1), r2*(1-r2)
	single := v1*(p.wn1-p.wwn1/p.w) + v2*(p.wn2-p.wwn2/p.w)
	room := (v1+v2)*(p.w-p.ww/p.w) - single
	if !(room > 0) {
		return a
	}
	free := float64(p.Days - 1)
	return Alike{Apart: max(0, p.wdd-p.wd*p.wd/p.w) - single, Room: room, Free: free, Less: free * free / float64(p.Days)}
}
