package interval_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"strokeledger/internal/tally/interval"
)

// Newcombe RG (1998) "Two-sided confidence intervals for the single proportion:
// comparison of seven methods", Stat Med 17:857-872, Table I, method 3, printed
// to four digits. The ten-digit values were computed with statsmodels 0.13.5 and
// scipy 1.10.1, which agree with R's prop.test.
func TestWilsonAgainstNewcombeTableI(t *testing.T) {
	for _, c := range []struct {
		x, n                int
		printLow, printHigh float64
		low, high           float64
	}{
		{81, 263, .2553, .3662, 0.2552885199, 0.3662095770},
		{15, 148, .0624, .1605, 0.0623863995, 0.1604872417},
		{0, 20, .0000, .1611, 0, 0.1611251581},
		{1, 29, .0061, .1718, 0.0061132143, 0.1717552188},
	} {
		t.Run(fmt.Sprintf("%d of %d", c.x, c.n), func(t *testing.T) {
			got, ok := interval.Wilson(c.x, c.n)
			require.True(t, ok)
			assert.InDelta(t, c.printLow, got.Low, 5e-5)
			assert.InDelta(t, c.printHigh, got.High, 5e-5)
			assert.InDelta(t, c.low, got.Low, 1e-10)
			assert.InDelta(t, c.high, got.High, 1e-10)
		})
	}
}

// Computed with scipy 1.10.1 (binomtest(k, n).proportion_ci(method="wilson")).
func TestWilsonAtTheEdges(t *testing.T) {
	for _, c := range []struct {
		x, n      int
		low, high float64
	}{
		{10, 10, 0.7224672001, 1},
		{0, 10, 0, 0.2775327999},
		{3, 12, 0.0889416684, 0.5323053349},
	} {
		got, ok := interval.Wilson(c.x, c.n)
		require.True(t, ok)
		assert.InDelta(t, c.low, got.Low, 1e-10, "%d of %d", c.x, c.n)
		assert.InDelta(t, c.high, got.High, 1e-10, "%d of %d", c.x, c.n)
	}
	for n := 1; n < 3000; n++ {
		none, _ := interval.Wilson(0, n)
		all, _ := interval.Wilson(n, n)
		require.Zero(t, none.Low, "0 of %d starts at exactly 0", n)
		require.Equal(t, 1.0, all.High, "%d of %d ends at exactly 1", n, n)
	}
	_, ok := interval.Wilson(0, 0)
	assert.False(t, ok, "no stroke, no interval")
	assert.Panics(t, func() { interval.Wilson(3, 2) })
	assert.Panics(t, func() { interval.Wilson(-1, 2) })
}

// Newcombe RG (1998) "Interval estimation for the difference between independent
// proportions: comparison of eleven methods", Stat Med 17:873-890, Table II, method
// 10. Rows a, b and d as cited by a second source; rows c and e to h computed with
// statsmodels 0.13.5.
func TestDifferenceAgainstNewcombeTableII(t *testing.T) {
	for _, c := range []struct {
		row            string
		x1, n1, x2, n2 int
		low, high      float64
	}{
		{"a", 56, 70, 48, 80, .0524, .3339},
		{"b", 9, 10, 3, 10, .1705, .8090},
		{"c", 6, 7, 2, 7, .0582, .8062},
		{"d", 5, 56, 0, 29, -.0381, .1926},
		{"e", 0, 10, 0, 20, -.1611, .2775},
		{"f", 0, 10, 0, 10, -.2775, .2775},
		{"g", 10, 10, 0, 20, .6791, 1.0000},
		{"h", 10, 10, 0, 10, .6075, 1.0000},
	} {
		t.Run(c.row, func(t *testing.T) {
			d, got, ok := interval.Difference(c.x1, c.n1, c.x2, c.n2)
			require.True(t, ok)
			assert.InDelta(t, float64(c.x1)/float64(c.n1)-float64(c.x2)/float64(c.n2), d, 1e-15)
			assert.InDelta(t, c.low, got.Low, 5e-5)
			assert.InDelta(t, c.high, got.High, 5e-5)
		})
	}
	// R 4.2.2, Epi::ci.pd(56, 48, 14, 32).
	_, got, _ := interval.Difference(56, 70, 48, 80)
	assert.InDelta(t, 0.05243147, got.Low, 5e-9)
	assert.InDelta(t, 0.3338727, got.High, 5e-8)

	_, _, ok := interval.Difference(0, 0, 1, 2)
	assert.False(t, ok)
	_, _, ok = interval.Difference(1, 2, 0, 0)
	assert.False(t, ok)
}

func TestDifferenceTurnsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n1, n2 := rapid.IntRange(1, 5000).Draw(t, "n1"), rapid.IntRange(1, 5000).Draw(t, "n2")
		x1, x2 := rapid.IntRange(0, n1).Draw(t, "x1"), rapid.IntRange(0, n2).Draw(t, "x2")
		d, a, _ := interval.Difference(x1, n1, x2, n2)
		e, b, _ := interval.Difference(x2, n2, x1, n1)
		if d != -e || math.Abs(a.Low+b.High) > 1e-12 || math.Abs(a.High+b.Low) > 1e-12 {
			t.Fatalf("%v %v is not minus %v %v", d, a, e, b)
		}
		if !(-1 <= a.Low && a.Low <= d && d <= a.High && a.High <= 1) {
			t.Fatalf("%v is not inside %v", d, a)
		}
	})
}

// Garwood F (1936) "Fiducial limits for the Poisson distribution", Biometrika
// 28:437-442, in the chi-square form; values computed with scipy 1.10.1 and R
// 4.2.2, which agree.
func TestPoissonAgainstGarwood(t *testing.T) {
	for _, c := range []struct {
		x         int
		low, high float64
	}{
		{0, 0, 3.6888794541},
		{1, 0.0253178080, 5.5716433909},
		{2, 0.2422092785, 7.2246876677},
		{3, 0.6186721229, 8.7672730697},
		{5, 1.6234863901, 11.6683320793},
		{10, 4.7953886961, 18.3903560420},
		{20, 12.2165195854, 30.8883779027},
		{30, 20.2408740214, 42.8268653948},
		{50, 37.1109637375, 65.9187666643},
		{100, 81.3639912509, 121.6267937924},
	} {
		got := interval.Poisson(c.x)
		assert.InDelta(t, c.low, got.Low, 1e-8, "%d", c.x)
		assert.InDelta(t, c.high, got.High, 1e-8, "%d", c.x)
	}
	assert.Equal(t, 0.0, interval.Poisson(0).Low, "exactly 0")
	assert.Panics(t, func() { interval.Poisson(-1) })
}

// The limits solve their defining equations: with the mean at the lower limit x
// or more is seen with probability 0.025, with it at the upper x or fewer.
func TestPoissonSolvesItsEquations(t *testing.T) {
	for _, x := range []int{1, 2, 7, 33, 137, 1000, 20_000, 1_000_000} {
		got := interval.Poisson(x)
		below := distuv.Poisson{Lambda: got.Low}.CDF(float64(x - 1))
		upTo := distuv.Poisson{Lambda: got.High}.CDF(float64(x))
		assert.InDelta(t, 0.975, below, 1e-8, "%d", x)
		assert.InDelta(t, 0.025, upTo, 1e-8, "%d", x)
	}
}

// Seven of 52 strokes had the fault: the rate that lies behind may be half of that, or
// nearly twice as much.
func ExampleWilson() {
	i, ok := interval.Wilson(7, 52)
	fmt.Printf("%.1f %% to %.1f %%, %v\n", 100*i.Low, 100*i.High, ok)
	// Output: 6.7 % to 25.3 %, true
}

func ExampleDifference() {
	d, i, _ := interval.Difference(22, 50, 7, 50)
	fmt.Printf("%+.2f (%+.2f to %+.2f)\n", d, i.Low, i.High)
	// Output: +0.30 (+0.12 to +0.45)
}
