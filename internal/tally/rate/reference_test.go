package rate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The formulas whose sources are books, against values of another program: scipy
// 1.10.1, by ../testdata/reference.py, which also checks the identities that no function
// of ours shows by itself (mean of squares, variance of a variance, mean of Cochran's Q).
func TestReference(t *testing.T) {
	for p, want := range map[float64]float64{0.05: 7.251196, 0.1: 2.732323, 0.2: 0.522727} {
		assert.InDelta(t, want, kurtosis(p), 1e-6, "kurtosis at %v", p)
	}
	var m Moments
	for _, n := range []int{10, 20, 45} {
		m.Add(1, n)
	}
	assert.InDelta(t, 4.266667, m.effect(.1), 1e-6, "design effect")
	assert.InDelta(t, 88.28416, worth(200, 2, 20), 1e-3, "effective sample")

	// Twelve turns of ten strokes on each side, and a correlation that makes the effect 1.95.
	one, two := Moments{Turns: 12, X: 18, N: 120, NN: 1200}, Moments{Turns: 12, X: 36, N: 120, NN: 1200}
	p, ok := ratesApart(one, two, .95/9, 40)
	require.True(t, ok)
	assert.InDelta(t, .0531663, p, 1e-6, "rates apart")
}
