package rate

import (
	"math"

	"strokeledger/internal/tally/interval"
)

// leastEffect is the least design effect of so many marks a minute: of strokes that
// have the fault or not, the number varies less than a Poisson's by the share of those
// without.
func leastEffect(rate float64) float64 { return 1 - min(0.5, rate/strokesAMinute) }

// Minutes are the sums over turns without logged strokes from which the spread
// between turns follows: x marks in t minutes of each.
type Minutes struct {
	Turns  int // with t > 0
	X      int
	T      float64
	XX     int     // sum of x²
	XT, TT float64 // sums of x·t and t²
}

// Add counts one turn with x marks in t minutes; one without time is left out.
func (m *Minutes) Add(x int, t float64) {
	if !(t > 0) {
		return
	}
	m.Join(Minutes{1, x, t, x * x, float64(x) * t, t * t})
}

func (m *Minutes) Join(o Minutes) {
	m.Turns += o.Turns
	m.X += o.X
	m.T += o.T
	m.XX += o.XX
	m.XT += o.XT
	m.TT += o.TT
}

// Alike of one group of turns, as Moments.alike: where the marks of t minutes have
// the variance rt(1 + ut), the squares round the rate r have the mean r(1 -
// TT/T²)(T + u·TT). Unevenness u takes the place of a correlation: strokes that are
// alike by ρ make it about ρ times the strokes a minute.
//
// Source: the variance is that of the negative binomial with a shape that grows
// with r, as in Cameron AC, Trivedi PK (1998) Regression Analysis of Count Data,
// section 3.2 (NB1; its variance is computed in ../testdata/reference.py).
func (m Minutes) Alike() (a Alike) {
	if m.Turns < 2 || m.X == 0 {
		return a
	}
	r, part := float64(m.X)/m.T, 1-m.TT/(m.T*m.T)
	squares := max(0, float64(m.XX)-2*r*m.XT+r*r*m.TT)
	turns := float64(m.Turns)
	return Alike{Apart: squares - r*part*m.T, Room: r * part * m.TT, Free: turns - 1, Less: (turns - 1) * (turns - 1) / turns}
}

// PaceEffect is Effect for marks per minute, l being of unevenness.
func (l Likeness) PaceEffect(m Minutes) (effect, freedom float64, ok bool) {
	return l.paceEffect(m, m.Alike())
}

func (l Likeness) paceEffect(m Minutes, own Alike) (effect, freedom float64, ok bool) {
	uneven, freedom := l.with(own)
	switch {
	case !(m.T > 0):
		return 0, 0, false
	case freedom < fewestFreedom && m.Turns >= manyTurns:
		uneven, freedom = max(uneven, highCorrelation*strokesAMinute), fewestFreedom
	case freedom < fewestFreedom:
		return 0, 0, false
	}
	return 1 + uneven*m.TT/m.T, freedom, true
}

// RateRatio is a ratio of two rates with its 95 % interval. Ratio and High are +Inf
// where the second rate has no event.
type Ratio struct {
	Ratio, Low, High float64
	P                float64 // two-sided, of no difference
}

// PacesApart compares the rates a minute of two groups of turns, first over second:
// given the marks of both together, those of the first are tested as a share of them,
// by its score, the minutes of each divided by their effect, against
// Student's t. It is not ok where too few turns were seen, or too few marks in them.
//
// Source: the conditional score as in Gu K et al. (2008) Biometrical J 50:283-298;
// the division as in RatesApart.
func PacesApart(one, two Minutes, l Likeness) (r Ratio, ok bool) {
	own := one.Alike()
	own.Join(two.Alike())
	e1, freedom, ok1 := l.paceEffect(one, own)
	e2, _, ok2 := l.paceEffect(two, own)
	if !ok1 || !ok2 || min(one.Turns, two.Turns) < FewestTurns {
		return r, false
	}
	least := leastEffect(float64(one.X+two.X) / (one.T + two.T))
	t1, t2 := one.T/max(least, e1), two.T/max(least, e2)
	x1, x2 := float64(one.X)/one.T*t1, float64(two.X)/two.T*t2
	n, even := x1+x2, t1/(t1+t2)
	if n < fewestFaults {
		return r, false
	}
	odds := func(p float64) float64 { return t2 / t1 * p / (1 - p) }
	i := interval.Score(worth(x1, 1, freedom), worth(n, 1, freedom))
	r = Ratio{Ratio: odds(x1 / n), Low: odds(i.Low), High: odds(i.High), P: interval.Student((x1-n*even)/math.Sqrt(n*even*(1-even)), freedom)}
	if one.X == 0 {
		r.Low = 0
	}
	if two.X == 0 {
		r.Ratio, r.High = math.Inf(1), math.Inf(1)
	}
	return r, true
}
