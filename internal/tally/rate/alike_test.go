package rate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/rate"
)

// wellKnown is a correlation of which the club knows as much as counts.
func wellKnown(rho float64) rate.Likeness { return rate.Likeness{Correlation: rho, Freedom: 1e9} }

// equal are turns of one size with one outcome: they say nothing of their spread.
func equal(turns, x, n int) (m rate.Moments) {
	return rate.Moments{Turns: turns, X: x, N: turns * n, NN: turns * n * n}
}

// The design effect is Kish's: twelve turns of 30 strokes and a correlation of .05
// give 1 + .05 · 29 = 2.45.
func TestEffect(t *testing.T) {
	effect, freedom, ok := wellKnown(.05).Effect(equal(12, 0, 30))
	require.True(t, ok)
	assert.InDelta(t, 2.45, effect, 1e-12)
	assert.Equal(t, 60., freedom)
	_, _, ok = rate.Likeness{Correlation: .05, Freedom: 7.9}.Effect(equal(12, 0, 30))
	assert.False(t, ok, "too little is known")

	// With nothing from the club the turns speak for themselves: by hand, r = .2, the
	// squares of x - 2 add up to 20 in ten turns of 10 strokes, NN/N² = 1/10, so pq is
	// .16 + 20/(.9 · 100²), and the correlation (20 - pq · .9 · 100)/(pq · .9 · 900).
	var m rate.Moments
	for _, x := range []int{0, 4, 0, 4, 2, 1, 3, 2, 1, 3} {
		m.Add(x, 10)
	}
	m.Add(3, 0) // no stroke, no turn
	assert.Equal(t, rate.Moments{Turns: 10, X: 20, N: 100, XX: 60, XN: 200, NN: 1000}, m)
	pq := .16 + 20/9000.
	effect, freedom, ok = rate.Likeness{}.Effect(m)
	require.True(t, ok)
	assert.Equal(t, 9., freedom)
	assert.InDelta(t, 1+9*(20-pq*90)/(pq*810), effect, 1e-12)
	// Wilson's for as many strokes as that is worth.
	s := rate.ShareOver(m, rate.Likeness{})
	q := distuv.StudentsT{Sigma: 1, Nu: 9}.Quantile(.975)
	z := distuv.UnitNormal.Quantile(.975)
	n := min(100, 100/effect*z*z/q/q)
	assert.InDelta(t, (.2*n+z*z/2)/(n+z*z), (s.Low+s.High)/2, 1e-5)
	assert.Equal(t, rate.ByTurns, s.By)

	one := rate.ShareOver(equal(1, 3, 30), rate.Likeness{})
	assert.Equal(t, []any{rate.NoInterval, 0., 1., 0.}, []any{one.By, one.Low, one.High, one.Effect})
	assert.Nil(t, rate.ShareOver(rate.Moments{}, wellKnown(0)))
	none, all := rate.ShareOver(equal(4, 0, 10), wellKnown(.1)), rate.ShareOver(equal(4, 40, 10), wellKnown(.1))
	assert.Equal(t, []float64{0, 1}, []float64{none.Low, all.High})
	assert.InDelta(t, none.High, 1-all.Low, 1e-12)
}

// tens are turns of ten strokes with so many faults.
func tens(xs ...int) (m rate.Moments) {
	for _, x := range xs {
		m.Add(x, 10)
	}
	return m
}

// Newcombe RG (1998) Stat Med 17:873-890, row a: 56 of 70 against 48 of 80. Without a
// correlation it is Pearson's test (chi-square 7.02341, scipy 1.10.1), against
// Student's t of 60 degrees of freedom; the others are the formulas written out, with
// the density of Student's t integrated by Simpson's rule. Nothing is rounded.
func TestRatesApartAgainstScipy(t *testing.T) {
	one, two := tens(9, 7, 8, 6, 10, 9, 7), tens(6, 5, 7, 4, 8, 6, 7, 5)
	for rho, want := range map[float64]float64{-.1: .01027123250783768, 0: .01027123250783768, .2: .09150705640082712, .5: .21655389706286232} {
		p, ok := rate.SharesApart(one, two, wellKnown(rho))
		require.True(t, ok)
		assert.InDelta(t, want, p, 1e-9, "%v", rho)
		again, _ := rate.SharesApart(two, one, wellKnown(rho))
		assert.InDelta(t, p, again, 1e-12)
	}
	p, _ := rate.SharesApart(one, two, wellKnown(.2))
	// An effect a little larger changes p a little.
	near, _ := rate.SharesApart(one, two, wellKnown(.2+1e-9))
	assert.InDelta(t, p, near, 1e-7)

	for name, c := range map[string][2]rate.Moments{
		"two turns":       {equal(2, 16, 10), two},
		"few faults":      {equal(8, 1, 10), equal(8, 2, 10)},
		"all have it":     {equal(8, 80, 10), equal(8, 80, 10)},
		"nobody has it":   {equal(8, 0, 10), equal(8, 0, 10)},
		"not one without": {equal(8, 79, 10), equal(8, 78, 10)},
	} {
		_, ok := rate.SharesApart(c[0], c[1], wellKnown(0))
		assert.False(t, ok, name)
	}
	_, ok := rate.SharesApart(tens(6, 8, 7), tens(6, 5, 7), rate.Likeness{})
	assert.False(t, ok, "nothing is known of how far turns differ")
}

// The quantile in use against gonum's (and scipy's: 2.282605 at 8.5).
func TestStudentsQuantile(t *testing.T) {
	for _, freedom := range []float64{8, 8.5, 10, 12.3, 20, 30} {
		l := rate.Likeness{Freedom: freedom}
		s := rate.ShareOver(equal(10, 0, 100), l)
		q := distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(.975)
		z := distuv.UnitNormal.Quantile(.975)
		n := 1000 * z * z / q / q
		assert.InDelta(t, z*z/(n+z*z), s.High, 1e-6, "%v", freedom)
	}
}

// A correlation that all faults share is found; faults that differ keep their own.
func TestFitLikeness(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	club := func(groups int, rhos ...float64) []rate.Likeness {
		var faults []rate.FaultAlike
		for _, rho := range rhos {
			var f rate.FaultAlike
			for range groups {
				var m rate.Moments
				for range 5 {
					n := 15 + rnd.IntN(31)
					m.Add(int(distuv.Binomial{N: float64(n), P: unevenly(rnd, .2, rho), Src: rnd}.Rand()), n)
				}
				f.Join(m)
			}
			faults = append(faults, f)
		}
		return rate.FitLikeness(faults)
	}
	for _, l := range club(200, .1, .1, .1) {
		assert.InDelta(t, .1, l.Correlation, .02)
		assert.Greater(t, l.Freedom, 300.)
	}
	apart := club(200, 0, .25)
	assert.InDelta(t, 0, apart[0].Correlation, .02)
	assert.InDelta(t, .25, apart[1].Correlation, .05)
	// A few turns of each take from one another what they lack.
	few := club(2, .1, .1, .1, .1, .1)
	assert.Greater(t, few[0].Freedom, 2*8.)
	for _, l := range club(0, .1) {
		assert.Zero(t, l.Freedom)
		assert.False(t, math.IsNaN(l.Correlation))
	}
}

// A fault that nobody shows has an interval from twenty turns on.
func TestManyTurnsHaveAnInterval(t *testing.T) {
	s := rate.ShareOver(equal(20, 0, 30), rate.Likeness{})
	assert.Equal(t, rate.ByTurns, s.By, "0 of 600")
	assert.Less(t, s.High, .1)
	assert.Equal(t, rate.NoInterval, rate.ShareOver(equal(19, 0, 30), rate.Likeness{}).By)
}
