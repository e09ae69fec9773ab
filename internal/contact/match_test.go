package contact_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/contact"
)

// Vectors computed with mir_eval 0.7, onset.f_measure (maximum bipartite
// matching, the window's boundary inside).
func TestScoreAgreesWithMirEval(t *testing.T) {
	for _, c := range []struct {
		truth, found         []float64
		window               float64
		f, precision, recall float64
	}{
		{[]float64{1, 2, 3}, []float64{1, 2, 3}, .05, 1, 1, 1},
		{[]float64{1, 2, 3}, []float64{1.05, 1.949, 3.051}, .05, 1. / 3, 1. / 3, 1. / 3},
		{[]float64{1}, []float64{.98, 1.02}, .05, .666667, .5, 1},
		{[]float64{1, 1.04}, []float64{1.02}, .05, .666667, 1, .5},
		{[]float64{1.00, 1.06}, []float64{.97, 1.02}, .05, 1, 1, 1},
		{[]float64{1, 1.08}, []float64{.96, 1.04}, .05, 1, 1, 1},
		{[]float64{1.00, 1.05}, []float64{1.03, 1.09}, .05, 1, 1, 1},
		{[]float64{1, 2, 3}, []float64{1.02, 1.98, 3.03}, .025, 2. / 3, 2. / 3, 2. / 3},
		{[]float64{2}, []float64{2.05}, .05, 1, 1, 1}, // 2.05 − 2 is above .05 in binary
		{[]float64{0}, []float64{.05}, .05, 1, 1, 1},
		{nil, []float64{1}, .05, 0, 0, 0},
		{[]float64{1}, nil, .05, 0, 0, 0},
		{nil, nil, .05, 0, 0, 0},
	} {
		t.Run(fmt.Sprint(c.truth, c.found), func(t *testing.T) {
			f, p, r := contact.Score(c.truth, c.found, c.window)
			require.InDelta(t, c.f, f, 1e-6)
			require.InDelta(t, c.precision, p, 1e-6)
			require.InDelta(t, c.recall, r, 1e-6)
		})
	}
}

// No matching pairs more, whatever it does: compared with augmenting paths.
func TestMatchIsMaximum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		moments := rapid.Map(rapid.SliceOfN(rapid.IntRange(0, 60), 0, 12), func(ms []int) []float64 {
			slices.Sort(ms)
			out := make([]float64, len(ms))
			for i, v := range ms {
				out[i] = float64(v) / 1000
			}
			return out
		})
		a, b := moments.Draw(t, "a"), moments.Draw(t, "b")
		pairs := contact.Match(a, b, .010)
		for i, p := range pairs {
			require.LessOrEqual(t, math.Abs(a[p[0]]-b[p[1]]), .010+1e-9)
			if i > 0 {
				require.Greater(t, p[0], pairs[i-1][0])
				require.Greater(t, p[1], pairs[i-1][1])
			}
		}
		require.Len(t, pairs, maximum(a, b, .010))
	})
}

// maximum is the size of a maximum bipartite matching, by augmenting paths.
func maximum(a, b []float64, window float64) int {
	owner := make([]int, len(b))
	for j := range owner {
		owner[j] = -1
	}
	var seen []bool
	var augment func(i int) bool
	augment = func(i int) bool {
		for j := range b {
			if math.Abs(a[i]-b[j]) > window+1e-9 || seen[j] {
				continue
			}
			seen[j] = true
			if owner[j] < 0 || augment(owner[j]) {
				owner[j] = i
				return true
			}
		}
		return false
	}
	n := 0
	for i := range a {
		seen = make([]bool, len(b))
		if augment(i) {
			n++
		}
	}
	return n
}
