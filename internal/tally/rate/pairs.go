package rate

import "strokeledger/internal/tally/interval"

// DayPairs are two parts of training days: a player may be good or bad at each of them
// on a day as a whole, so what is compared over days is days and not turns.
type DayPairs struct {
	first, second Moments // over training days
	Several       bool    // some player has more days than one
	both          float64 // sum over days of the product of the two parts' strokes
	Pairs         Alike   // how far differences of a day's two parts lie apart, round the player's
	Strokes       float64 // of days with both parts
	Squares       float64 // sum of those times how many share the day's form of their part
}

// Add counts a day.
func (p *DayPairs) Add(x1, n1, x2, n2 int) {
	p.first.Add(x1, n1)
	p.second.Add(x2, n2)
	if both := float64(n1) * float64(n2); both > 0 {
		p.both += both
		p.Strokes += float64(n1 + n2)
		p.Squares += 2 * both
	}
}

func (p *DayPairs) Join(o *DayPairs) {
	p.first.Join(o.first)
	p.second.Join(o.second)
	p.Several = p.Several || o.Several
	p.both += o.both
	p.Pairs.Join(o.Pairs)
	p.Strokes += o.Strokes
	p.Squares += o.Squares
}

// with is Likeness.with of the days: what both parts of a day share falls out of the
// difference as far as the parts lie on the same days, and the rest is of whole days.
func (p *DayPairs) with(pairs, days Likeness) (correlation, freedom float64) {
	n1, n2 := float64(p.first.N), float64(p.second.N)
	one, two := float64(p.first.NN)/(n1*n1), float64(p.second.NN)/(n2*n2)
	alone := 1 - 2*p.both/(n1*n2)/(one+two)
	own := p.first.Alike()
	own.Join(p.second.Alike())
	c1, f1 := pairs.with(p.Pairs)
	c2, f2 := days.with(own)
	return (1-alone)*c1 + alone*max(c1, c2), (1-alone)*f1 + alone*f2
}

// Apart tests whether the rates of the two parts differ, with the 95 % interval of each.
// It is not ok where too few days were seen, or too few faults in them, to tell.
func (p *DayPairs) Apart(pairs, days Likeness) (value float64, first, second interval.Interval, ok bool) {
	correlation, freedom := p.with(pairs, days)
	if value, ok = ratesApart(p.first, p.second, correlation, freedom); !ok || freedom < fewestPairs {
		return 1, first, second, false
	}
	return value, p.first.limits(p.first.effect(correlation), freedom), p.second.limits(p.second.effect(correlation), freedom), true
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
