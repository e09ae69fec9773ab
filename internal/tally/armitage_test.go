package tally_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally"
)

// Maternal alcohol: Graubard BI, Korn EL (1987), in Agresti A (2002); the table is
// printed with both. Pain trial: SAS PROC FREQ, example 28.7. Smokers: Fleiss JL
// (1981) p. 139, R's help page of prop.trend.test. Values computed with R 4.2.2.
func TestArmitageAgainstPublished(t *testing.T) {
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
			z, p, ok := tally.Armitage(c.x, c.n, c.score)
			require.True(t, ok)
			assert.InDelta(t, c.z, z, max(c.within, 1e-8))
			assert.InDelta(t, c.p, p, 1e-6)
			// Scores may be counted from anywhere, in any unit.
			moved := make([]float64, len(c.score))
			for i, s := range c.score {
				moved[i] = 3*s - 7
			}
			again, _, _ := tally.Armitage(c.x, c.n, moved)
			assert.InDelta(t, z, again, 1e-9)
		})
	}
}

func TestArmitageWithNothingToTest(t *testing.T) {
	for _, c := range []struct {
		x, n  []int
		score []float64
	}{
		{[]int{0, 0, 0}, []int{5, 6, 7}, []float64{1, 2, 3}},
		{[]int{5, 6, 7}, []int{5, 6, 7}, []float64{1, 2, 3}},
		{[]int{1, 2}, []int{5, 6}, []float64{4, 4}},
		{nil, nil, nil},
	} {
		_, p, ok := tally.Armitage(c.x, c.n, c.score)
		assert.False(t, ok)
		assert.Equal(t, 1.0, p)
	}
	assert.Panics(t, func() { tally.Armitage([]int{2}, []int{1}, []float64{1}) })
}

// By hand: proportions that lie on a line give its slope; the weights are the
// strokes (20, 20 and 60), the time in months.
func TestLine(t *testing.T) {
	slope, se, ok := tally.Line([]int{2, 3, 12}, []int{20, 20, 60}, []float64{0, 1, 2}, 1)
	require.True(t, ok)
	assert.InDelta(t, 0.05, slope, 1e-12)
	// sum of n(t-1.4)² = 20·1.96 + 20·.16 + 60·.36 = 64; the rate is .17.
	assert.InDelta(t, math.Sqrt(.17*.83/64), se, 1e-12)
	_, wider, _ := tally.Line([]int{2, 3, 12}, []int{20, 20, 60}, []float64{0, 1, 2}, 4)
	assert.InDelta(t, 2*se, wider, 1e-12)
	// Far off any line, the error grows with the distance.
	_, off, ok := tally.Line([]int{2, 18, 2, 18}, []int{20, 20, 20, 20}, []float64{0, 1, 2, 3}, 1)
	require.True(t, ok)
	_, on, _ := tally.Line([]int{8, 9, 11, 12}, []int{20, 20, 20, 20}, []float64{0, 1, 2, 3}, 1)
	assert.Greater(t, off, 3*on)
	_, _, ok = tally.Line([]int{1, 2, 0}, []int{9, 9, 0}, []float64{0, 1, 2}, 1)
	assert.False(t, ok, "two sessions make no line")
	_, _, ok = tally.Line([]int{1, 2, 3}, []int{9, 9, 9}, []float64{2, 2, 2}, 1)
	assert.False(t, ok)
}
