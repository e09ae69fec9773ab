package rate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/rate"
)

// zOf is the slope of a line by its standard error for independent strokes, with the
// two-sided chance of one at least as far from nought.
func zOf(x, n []int, score []float64) (z, p float64, ok bool) {
	size := make([]float64, len(n))
	for i := range n {
		size[i] = float64(n[i])
	}
	l, ok := rate.FitLine(x, n, size, score)
	if !ok {
		return 0, 1, false
	}
	z = l.Slope / math.Sqrt(l.Variance)
	return z, 2 * distuv.UnitNormal.Survival(math.Abs(z)), true
}

// The slope by its error is Cochran's and Armitage's test. Maternal alcohol: Graubard BI, Korn EL (1987), in Agresti A (2002); the table is
// printed with both. Pain trial: SAS PROC FREQ, example 28.7. Smokers: Fleiss JL
// (1981) p. 139, R's help page of prop.trend.test. Values computed with R 4.2.2.
func TestLineAgainstPublishedTrends(t *testing.T) {
	alcohol := []int{48, 38, 5, 1, 1}
	births := []int{17066 + 48, 14464 + 38, 788 + 5, 126 + 1, 37 + 1}
	for _, c := range []struct {
		name         string
		x, n         []int
		score        []float64
		z, p, within float64
	}{
		{"alcohol", alcohol, births, []float64{0, .5, 1.5, 4, 7}, 2.5632273, 0.010370415, 1e-7},
		{"alcohol by order", alcohol, births, []float64{1, 2, 3, 4, 5}, 1.351967, 0.176386, 1e-6},
		{"alcohol, last 8", alcohol, births, []float64{0, .5, 1.5, 4, 8}, 2.6604976, .00780018, 1e-3},
		{"pain", []int{6, 7, 9, 14, 23}, []int{32, 33, 32, 32, 32}, []float64{0, 1, 2, 3, 4}, 4.79181258, 1.65281e-6, 1e-8},
		{"smokers", []int{83, 90, 129, 70}, []int{86, 93, 136, 82}, []float64{1, 2, 3, 4}, -math.Sqrt(8.2249), .004132, 1e-4},
		{"smokers, last", []int{83, 90, 129, 70}, []int{86, 93, 136, 82}, []float64{0, 0, 0, 1}, -math.Sqrt(12.173), .0004848, 1e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			z, p, ok := zOf(c.x, c.n, c.score)
			require.True(t, ok)
			assert.InDelta(t, c.z, z, max(c.within, 1e-8))
			assert.InDelta(t, c.p, p, 1e-6)
			// Scores may be counted from anywhere, in any unit.
			moved := make([]float64, len(c.score))
			for i, s := range c.score {
				moved[i] = 3*s - 7
			}
			again, _, _ := zOf(c.x, c.n, moved)
			assert.InDelta(t, z, again, 1e-9)
		})
	}
}

func TestLineWithNothingToTest(t *testing.T) {
	for _, c := range []struct {
		x, n  []int
		score []float64
	}{
		{[]int{0, 0, 0}, []int{5, 6, 7}, []float64{1, 2, 3}},
		{[]int{5, 6, 7}, []int{5, 6, 7}, []float64{1, 2, 3}},
		{[]int{1, 2}, []int{5, 6}, []float64{1, 2}},
		{[]int{1, 2, 3}, []int{5, 6, 7}, []float64{4, 4, 4}},
		{nil, nil, nil},
	} {
		_, _, ok := zOf(c.x, c.n, c.score)
		assert.False(t, ok)
	}
	assert.Panics(t, func() { zOf([]int{2, 1, 1}, []int{1, 1, 1}, []float64{1, 2, 3}) })
	assert.Panics(t, func() { zOf([]int{1}, []int{1, 1, 1}, []float64{1, 2, 3}) })
}

// The pain trial a month apart: weighted least squares, its hat matrix and its
// residuals computed with numpy 1.24.2.
func TestLineAgainstLeastSquares(t *testing.T) {
	const month = 30 / (365.25 / 12)
	l, ok := rate.FitLine([]int{6, 7, 9, 14, 23}, []int{32, 33, 32, 32, 32}, []float64{32, 33, 32, 32, 32}, []float64{0, month, 2 * month, 3 * month, 4 * month})
	require.True(t, ok)
	assert.InDelta(t, .13074932, l.Slope, 1e-8)
	assert.InDelta(t, .0007445249396, l.Variance, 1e-12)
	assert.InDelta(t, 31.101532603888, l.Spread, 1e-9)
	assert.InDelta(t, .14358465955823652, l.Alike.Apart, 1e-9)
	assert.InDelta(t, 21.91651586250256, l.Alike.Room, 1e-9)
	assert.Equal(t, []float64{3, 9. / 5}, []float64{l.Alike.Free, l.Alike.Less})
}
