package tally_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/tally"
)

// R's help page of poisson.test (eba1977), computed with R 4.2.2; and Gu K et al.
// (2008) Biometrical J 50:283-298, example 1, computed with statsmodels 0.13.5 and
// R's poisson.test.
func TestRatioOfRatesAgainstPublished(t *testing.T) {
	for _, c := range []struct {
		x1        int
		t1        float64
		x2        int
		t2        float64
		ratio     float64
		low, high float64
		p         float64
	}{
		{11, 800, 6 + 8 + 7, 1083 + 1050 + 878, 1.9714880952, 0.8584264034, 4.2772659437, 0.0796686330},
		{60, 51477.5, 30, 54308.7, 2.109997571755, 1.339735721773, 3.388365573616, .000675182659},
	} {
		r, ok := tally.RatioOfRates(c.x1, c.t1, c.x2, c.t2)
		require.True(t, ok)
		assert.InDelta(t, c.ratio, r.Ratio, 1e-9)
		assert.InDelta(t, c.low, r.Low, 1e-9)
		assert.InDelta(t, c.high, r.High, 1e-8)
		assert.InDelta(t, c.p, r.P, 1e-9)
	}
}

func TestRatioOfRatesAtTheEdges(t *testing.T) {
	r, ok := tally.RatioOfRates(0, 2, 5, 3)
	require.True(t, ok)
	assert.Zero(t, r.Ratio)
	assert.Zero(t, r.Low)
	assert.False(t, math.IsInf(r.High, 0))
	r, ok = tally.RatioOfRates(5, 2, 0, 3)
	require.True(t, ok)
	assert.True(t, math.IsInf(r.Ratio, 1) && math.IsInf(r.High, 1))
	assert.Positive(t, r.Low)
	for _, bad := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}} {
		_, ok = tally.RatioOfRates(1, bad[0], 1, bad[1])
		assert.False(t, ok)
	}
	_, ok = tally.RatioOfRates(0, 1, 0, 1)
	assert.False(t, ok, "no mark, no ratio")
	assert.Panics(t, func() { tally.RatioOfRates(-1, 1, 0, 1) })
}

// Benjamini Y, Hochberg Y (1995) JRSS B 57:289-300, section 4 (thrombolysis, 15
// tests); adjusted values computed with R 4.2.2 (p.adjust).
func TestAdjustAgainstBenjaminiHochberg(t *testing.T) {
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	want := []float64{.0015, .003, .0095, .035625, .0603, .06385714286, .06385714286, .0645, .0765, .486, .58118181818, .714875, .75323076923, .81321428571, 1}
	count := func(q float64) (n int) {
		for _, v := range tally.Adjust(p) {
			if v <= q {
				n++
			}
		}
		return n
	}
	for i, v := range tally.Adjust(p) {
		assert.InDelta(t, want[i], v, 1e-9)
	}
	assert.Equal(t, 4, count(.05), "the paper rejects the first four")
	assert.Equal(t, 9, count(.10))
	assert.Empty(t, tally.Adjust(nil))
	assert.Equal(t, []float64{.04, .04}, tally.Adjust([]float64{.04, .04}), "ties share the larger rank")

	rapid.Check(t, func(t *rapid.T) {
		order := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}).Draw(t, "order")
		shuffled := make([]float64, len(p))
		for to, from := range order {
			shuffled[to] = p[from]
		}
		before := slices.Clone(shuffled)
		for to, v := range tally.Adjust(shuffled) {
			if math.Abs(v-want[order[to]]) > 1e-9 {
				t.Fatalf("the order %v changed %v to %v", order, want[order[to]], v)
			}
		}
		if !slices.Equal(before, shuffled) {
			t.Fatal("the given values were changed")
		}
	})
}
