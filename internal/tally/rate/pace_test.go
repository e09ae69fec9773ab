package rate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/rate"
)

// unknown is what a club says of turns without strokes that it has none of.
var unknown = rate.Likeness{}

// By hand: five turns of a minute with 2, 6, 4, 0 and 8 marks. r = 4, the squares round
// it add up to 40, T = TT = 5, so a part of 1 - 1/5 is left: 40 - 4·.8·5 by 4·.8·5, an
// unevenness of 1.5 a minute and an effect of 1 + 1.5·1.
func TestPaceEffect(t *testing.T) {
	var m rate.Minutes
	for _, x := range []int{2, 6, 4, 0, 8} {
		m.Add(x, 1)
	}
	m.Add(0, 0) // no time, no turn
	assert.Equal(t, rate.Minutes{Turns: 5, X: 20, T: 5, XX: 120, XT: 20, TT: 5}, m)
	effect, freedom, ok := rate.Likeness{Correlation: 1.5, Freedom: 1e9}.PaceEffect(m)
	require.True(t, ok)
	assert.InDelta(t, 2.5, effect, 1e-9)
	assert.Equal(t, 60., freedom)
	_, _, ok = unknown.PaceEffect(m)
	assert.False(t, ok, "five turns say too little")
	p := rate.PaceOver(m, unknown)
	assert.Equal(t, []any{4., 0., rate.NoInterval, 5, false}, []any{p.Rate, p.Low, p.By, p.Turns, p.Known()})
	assert.Nil(t, rate.PaceOver(rate.Minutes{}, wellKnown(0)))
}

// The score interval of a Poisson mean: Barker L (2002) Am Stat 56:85-89 has its ends
// as the roots of (x - m)² = z²m; here 10 marks, z = 1.959964, by hand.
func TestPaceIntervalIsTheScores(t *testing.T) {
	m := rate.Minutes{Turns: 10, X: 10, T: 1, XX: 19, XT: 1, TT: .1} // squares of 9: even
	p := rate.PaceOver(m, rate.Likeness{Freedom: 1e9})
	// 60 degrees of freedom at most: z is a t.
	q := distuv.StudentsT{Sigma: 1, Nu: 60}.Quantile(.975)
	for _, end := range []float64{p.Low, p.High} {
		assert.InDelta(t, q*q*end, (10-end)*(10-end), 1e-3)
	}
	assert.Less(t, p.Low, p.High)
	none := rate.PaceOver(rate.Minutes{Turns: 10, T: 5, TT: 2.5}, rate.Likeness{Freedom: 1e9})
	assert.Zero(t, none.Low)
	assert.Positive(t, none.High)
}

// Gu K et al. (2008) Biometrical J 50:283-298, example 1: the score statistic is
// 3.417402 (p .000316 one-sided), and its interval of the ratio 1.365962 to 3.259306
// (R's ratesci 0.4-0, scoreci), both for a normal; here for Student's t.
func TestPacesApartAgainstPublished(t *testing.T) {
	// As many turns as marks, as uneven as a Poisson's: by 59 and 29.
	one := rate.Minutes{Turns: 60, X: 60, T: 51477.5, XX: 60 + 59, XT: 51477.5, TT: 51477.5 * 51477.5 / 60}
	two := rate.Minutes{Turns: 30, X: 30, T: 54308.7, XX: 30 + 29, XT: 54308.7, TT: 54308.7 * 54308.7 / 30}
	known := rate.Likeness{Freedom: 1e9}
	r, ok := rate.PacesApart(one, two, known)
	require.True(t, ok)
	assert.InDelta(t, 2.109997571755, r.Ratio, 1e-9)
	assert.InDelta(t, 2*distuv.StudentsT{Sigma: 1, Nu: 88}.Survival(3.417402), r.P, 1e-7)
	q := distuv.StudentsT{Sigma: 1, Nu: 88}.Quantile(.975) / distuv.UnitNormal.Quantile(.975)
	assert.Less(t, r.Low, 1.365962)
	assert.Greater(t, r.High, 3.259306)
	assert.InDelta(t, 1.365962, r.Low, 1.365962*(q-1))
	assert.InDelta(t, 3.259306, r.High, 3.259306*(q-1))
	again, _ := rate.PacesApart(two, one, known)
	assert.InDelta(t, r.P, again.P, 1e-12)
	assert.InDelta(t, 1/r.High, again.Low, 1e-9)

	none := two
	none.X, none.XX, none.XT = 0, 0, 0
	r, ok = rate.PacesApart(one, none, known)
	require.True(t, ok)
	assert.True(t, math.IsInf(r.Ratio, 1) && math.IsInf(r.High, 1))
	assert.Positive(t, r.Low)
	r, _ = rate.PacesApart(none, one, known)
	assert.Equal(t, []float64{0, 0}, []float64{r.Ratio, r.Low})
	_, ok = rate.PacesApart(none, none, known)
	assert.False(t, ok, "no mark, no ratio")
	_, ok = rate.PacesApart(one, two, unknown)
	assert.True(t, ok, "ninety turns speak for themselves")
	few := one
	few.Turns = 2
	_, ok = rate.PacesApart(few, two, known)
	assert.False(t, ok, "two turns")
}
