package streak_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"strokeledger/internal/tally/streak"
)

// Feller W (1968) An Introduction to Probability Theory and Its Applications,
// vol. 1, 3rd ed., XIII.7; de Moivre's 3 in 10; Uspensky JV (1937) 5 in 20;
// Schilling MF (1990) College Math J 21:196-207. Fractions computed by recursion,
// by the closed formula and by a Markov matrix.
func TestChanceAgainstPublished(t *testing.T) {
	for _, c := range []struct {
		n, r   int
		p      float64
		want   float64
		within float64
	}{
		{10, 2, .5, 1 - 9.0/64, 1e-14},
		{1_000_000, 20, .5, 0.3792539614, 1e-9},
		{10, 3, .5, 65.0 / 128, 1e-14},
		{20, 5, .5, 32751.0 / 131072, 1e-14},
		{100, 7, .5, .3175203875, 1e-10},
		{50, 20, .5, 67108799.0 / 4398046511104, 1e-15},
		{20, 10, .9, 3486784401.0 / 5000000000, 1e-13},
		{1421, 10, .5, .500172928, 1e-9},
		{1420, 10, .5, .499927551, 1e-9},
		{9, 10, .99, 0, 0},
		{10, 10, 1, 1, 0},
		{30, 10, 0, 0, 0},
	} {
		assert.InDelta(t, c.want, streak.Chance(c.n, c.r, c.p), c.within, "%d within %d at %v", c.r, c.n, c.p)
	}
	// Feller's approximation of no run of r heads in n fair tosses, b / a^(n+1).
	for r, k := range map[int]struct{ a, b float64 }{2: {1.23606797, 1.44721356}, 3: {1.08737802, 1.23683983}, 4: {1.03758012, 1.13268577}} {
		assert.InDelta(t, k.b*math.Pow(k.a, -61), 1-streak.Chance(60, r, .5), 1e-6*k.b*math.Pow(k.a, -61)+1e-12, "r=%d", r)
	}
	assert.InDelta(t, .1406263, 1.44721356*math.Pow(1.23606797, -11), 1e-7)
	for _, bad := range []func(){
		func() { streak.Chance(5, 0, .5) }, func() { streak.Chance(-1, 2, .5) }, func() { streak.Chance(5, 2, 1.1) },
		func() { streak.Chance(5, 2, math.NaN()) }, func() { streak.Predict(10, 10, 4, 3) },
	} {
		assert.Panics(t, bad)
	}
}

// OEIS A277828: the least tosses of a fair coin for an even chance of m equal in a
// row. m equal in n tosses are m-1 repetitions in a row in n-1.
func TestChanceAgainstA277828(t *testing.T) {
	for i, n := range []int{1, 2, 5, 11, 23, 45, 90, 179, 357, 712, 1422, 2842} {
		m := i + 1
		if m == 1 {
			continue
		}
		assert.GreaterOrEqual(t, streak.Chance(n-1, m-1, .5), .5, "m=%d", m)
		assert.Less(t, streak.Chance(n-2, m-1, .5), .5, "m=%d", m)
	}
}

// Schilling MF (1990), Table 1: sequences of n tosses with at most three heads in a
// row, counted by going through all of them (python3 -c 'import itertools as i;
// print([sum("1111" not in "".join(s) for s in i.product("01", repeat=n)) for n in
// range(13)])').
func TestChanceAgainstSchilling(t *testing.T) {
	for n, want := range []float64{1, 2, 4, 8, 15, 29, 56, 108, 208, 401, 773, 1490, 2872} {
		assert.InDelta(t, want, (1-streak.Chance(n, 4, .5))*math.Pow(2, float64(n)), 1e-9)
	}
}

// Chance of at least one streak of ten, computed by recursion and checked by the
// closed formula, a Markov matrix and 200,000 simulations.
func TestChanceOfTen(t *testing.T) {
	rates := []float64{.5, .6, .7, .75, .8, .85, .9, .95, .98, .99}
	for n, row := range map[int][]float64{
		10:  {.000977, .006047, .028248, .056314, .107374, .196874, .348678, .598737, .817073, .904382},
		15:  {.003418, .018140, .070619, .126705, .214748, .344530, .523018, .748421, .898780, .949601},
		20:  {.005859, .030233, .112990, .197097, .322123, .492186, .697357, .898105, .980487, .994820},
		30:  {.010727, .054010, .192107, .321034, .493060, .690114, .869749, .977901, .998363, .999787},
		50:  {.020390, .099832, .329874, .514722, .717110, .885557, .976589, .999072, .999991, 1.000000},
		100: {.044137, .204910, .580084, .790425, .934203, .990523, .999681, 1.000000, 1.000000, 1.000000},
	} {
		for i, want := range row {
			assert.InDelta(t, want, streak.Chance(n, 10, rates[i]), 1e-6, "n=%d p=%v", n, rates[i])
		}
	}
	// The rate that gives an even, a four in five and a nine in ten chance.
	for p, want := range map[float64]float64{.93303: .5, .97793: .8, .98952: .9} {
		assert.InDelta(t, want, streak.Chance(10, 10, p), 1e-4)
	}
}

// Beta-binomial by arithmetic: after 27 of 30 and after 30 of 30.
func TestPredict(t *testing.T) {
	assert.InDelta(t, .31070406, streak.Predict(10, 10, 27, 30), 1e-8)
	assert.InDelta(t, 31.0/41, streak.Predict(10, 10, 30, 30), 1e-12)
	assert.InDelta(t, .34867844, streak.Chance(10, 10, .9), 1e-8)
	assert.InDelta(t, 1.0/11, streak.Predict(10, 10, 0, 0), 1e-12, "nothing seen: every rate alike")
	assert.Zero(t, streak.Predict(9, 10, 9, 9))
	// Much seen: the rate is known.
	assert.InDelta(t, streak.Chance(30, 10, .8), streak.Predict(30, 10, 8_000_000, 10_000_000), 1e-4)
}

// Against a sum over two thousand rates.
func TestPredictAgainstASum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.IntRange(1, 12).Draw(t, "r")
		n := r + rapid.IntRange(0, 40).Draw(t, "more")
		strokes := rapid.IntRange(0, 60).Draw(t, "strokes")
		good := rapid.IntRange(0, strokes).Draw(t, "good")
		sum, weight := 0.0, 0.0
		for i := range 2000 {
			p := (float64(i) + .5) / 2000
			w := math.Pow(p, float64(good)) * math.Pow(1-p, float64(strokes-good))
			sum += w * streak.Chance(n, r, p)
			weight += w
		}
		if got := streak.Predict(n, r, good, strokes); math.Abs(got-sum/weight) > 2e-4 {
			t.Fatalf("%d within %d after %d of %d: %v, not %v", r, n, good, strokes, got, sum/weight)
		}
	})
}

// A clean streak of ten within thirty strokes, of a player who plays nine in ten well.
func ExampleChance() {
	fmt.Printf("%.3f\n", streak.Chance(30, 10, 0.9))
	// Output: 0.870
}
