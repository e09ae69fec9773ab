// Package rate has rates per stroke and per minute with their 95 % intervals, and tests
// of two of them, for strokes of turns and days, which are alike: how alike, is fitted
// from all turns of a club (FitLikeness). Where they show too little of that there is
// no interval and no test. It is pure, and knows neither players nor faults.
package rate

import (
	"math"

	"strokeledger/internal/tally/interval"
	"strokeledger/internal/tally/wording"
)

// Share is X strokes with the fault out of N on which it could have happened,
// with its 95 % interval.
type Share struct {
	X    int     `json:"x"`
	N    int     `json:"n"`
	Rate float64 `json:"rate"` // X/N, 0 to 1
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	// Turns is how many turns the strokes come from, By where the interval comes from.
	Turns int `json:"turns"`
	By    By  `json:"by"`
	// Effect is the design effect of the turns: how many strokes are worth one that is
	// independent of all others, 1 or more; 0 where it is not known.
	Effect float64 `json:"effect"`
}

// Known reports whether the share has an interval.
func (s Share) Known() bool { return s.By != NoInterval }

// By says what an interval rests on.
type By string

const (
	ByStrokes By = "strokes" // Wilson's score interval
	ByTurns   By = "turns"   // the score interval for as many independent strokes, or even minutes, as the turns are worth
	// NoInterval stands where too few turns were seen to tell how far they differ: Low
	// is 0 and High 1, which leave nothing out.
	NoInterval By = "none"
)

// ShareOf is x of n strokes with its interval, nil for n = 0. It panics where
// Wilson does.
func ShareOf(x, n int) *Share {
	interval, ok := interval.Wilson(x, n)
	if !ok {
		return nil
	}
	return &Share{X: x, N: n, Rate: float64(x) / float64(n), Low: interval.Low, High: interval.High, By: ByStrokes}
}

// ShareOver is ShareOf for strokes of several turns, which are alike: Wilson's
// interval for as many independent strokes as the turns are worth, or none where
// that is not known. It is nil for no stroke.
func ShareOver(m Moments, l Likeness) *Share {
	if m.N == 0 {
		return nil
	}
	s := &Share{X: m.X, N: m.N, Rate: float64(m.X) / float64(m.N), High: 1, Turns: m.Turns, By: NoInterval}
	if effect, freedom, ok := l.Effect(m); ok {
		i := m.limits(effect, freedom)
		s.Low, s.High, s.By, s.Effect = i.Low, i.High, ByTurns, max(1, effect)
	}
	return s
}

// Minus is the difference of two shares that have no stroke in common, with the 95 %
// interval that follows from theirs.
func (s Share) Minus(o *Share) (difference float64, limits interval.Interval) {
	return interval.Apart(s.Rate, interval.Interval{Low: s.Low, High: s.High}, o.Rate, interval.Interval{Low: o.Low, High: o.High})
}

// Percents writes a share and the ends of its interval with the decimals that this
// needs; without an interval the ends are empty.
func (s Share) Percents() (rate, low, high string) {
	if !s.Known() {
		return wording.Percent(s.Rate, 0), "", ""
	}
	decimals := wording.Decimals(s.Low, s.High)
	return wording.Percent(s.Rate, decimals), wording.Percent(s.Low, decimals), wording.Percent(s.High, decimals)
}

// Pace is X marks in Minutes of turns without logged strokes, a minute, with its
// 95 % interval. Without strokes nobody can tell whether two marks mean one
// moment, so every mark counts. Turns, By and Effect are as of Share; without an
// interval Low and High are 0.
type Pace struct {
	X       int     `json:"x"`
	Minutes float64 `json:"minutes"`
	Rate    float64 `json:"rate"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Turns   int     `json:"turns"`
	By      By      `json:"by"`
	Effect  float64 `json:"effect"`
}

// Known reports whether the pace has an interval.
func (p Pace) Known() bool { return p.By != NoInterval }

// Numbers writes a pace and the ends of its interval with the decimals that this
// needs; without an interval the ends are empty. "0.0" stands only where it is nought.
func (p Pace) Numbers() (rate, low, high string) {
	decimals := wording.PaceDecimals(p.Low, p.High)
	if !p.Known() {
		decimals = 1
	}
	number := func(v float64) string {
		text := wording.Round(v, decimals)
		if v > 0 && text == wording.Round(0, decimals) {
			return "<" + wording.Round(math.Pow10(-decimals), decimals)
		}
		return text
	}
	if !p.Known() {
		return number(p.Rate), "", ""
	}
	return number(p.Rate), number(p.Low), number(p.High)
}

// PaceOver is a rate a minute over turns that differ, with the score interval of a
// Poisson mean for as many minutes as the turns are worth, or none where that is
// not known. It is nil without time.
//
// Source: Barker L (2002) Am Stat 56:85-89 (the score interval; values in
// TestReference), with worth as of shares.
func PaceOver(m Minutes, l Likeness) *Pace {
	if !(m.T > 0) {
		return nil
	}
	p := &Pace{X: m.X, Minutes: m.T, Rate: float64(m.X) / m.T, Turns: m.Turns, By: NoInterval}
	if effect, freedom, ok := l.PaceEffect(m); ok {
		q := interval.StudentQuantile(freedom)
		t := m.T / max(effect, leastEffect(p.Rate)) * interval.Z * interval.Z / (q * q)
		x := t * p.Rate
		low, high := interval.PoissonScore(x)
		p.Low, p.High, p.By, p.Effect = low/t, high/t, ByTurns, max(1, effect)
		if m.X == 0 {
			p.Low = 0
		}
	}
	return p
}

// worth is how many independent strokes would have given the share's interval; where
// it has none, as many as turns of that length would at the usual correlation.
func (s *Share) worth() float64 {
	n := float64(s.N)
	if !s.Known() {
		return n / (1 + UsualCorrelation*max(0, n/float64(max(1, s.Turns))-1))
	}
	// Wilson's interval is 2h wide for n with h² (n+z²)² = z² (z²/4 + n p (1-p)).
	const zz = interval.Z * interval.Z
	h := (s.High - s.Low) * (s.High - s.Low) / 4
	b := zz * (2*h - s.Rate*(1-s.Rate))
	worth := (-b + math.Sqrt(max(0, b*b-4*h*zz*zz*(h-0.25)))) / (2 * h)
	return min(n, max(worth, 1))
}

// With is the share as it would be with n strokes, if its rate stays as it is and its
// turns as alike as they are.
func (s *Share) With(n int) *Share {
	worth := float64(n) * s.worth() / float64(s.N)
	i := interval.Score(worth*s.Rate, worth)
	return &Share{X: int(math.Round(s.Rate * float64(n))), N: n, Rate: s.Rate, Low: i.Low, High: i.High, By: ByTurns}
}
