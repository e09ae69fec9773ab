package tally_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally"
)

// coverage is how many of 100 intervals hold the true rate p, of players with so
// many turns of 15 to 45 strokes whose rates differ from turn to turn: a beta
// distribution with correlation rho between two strokes of a turn. Wilson's alone,
// and the wider of the two that a summary shows.
func coverage(turns int, p, rho float64, trials int) (wilson, shown float64) {
	rnd := rand.New(rand.NewPCG(7, uint64(turns)))
	for range trials {
		var m tally.Moments
		for range turns {
			n, q, x := 15+rnd.IntN(31), p, 0
			if rho > 0 {
				q = distuv.Beta{Alpha: p * (1/rho - 1), Beta: (1 - p) * (1/rho - 1), Src: rnd}.Rand()
			}
			for range n {
				if rnd.Float64() < q {
					x++
				}
			}
			m.Add(x, n)
		}
		if w, _ := tally.Wilson(m.X, m.N); w.Low <= p && p <= w.High {
			wilson++
		}
		if s := tally.ShareOver(m); s.Low <= p && p <= s.High {
			shown++
		}
	}
	return 100 * wilson / float64(trials), 100 * shown / float64(trials)
}

// A 95 % interval covers 93 to 97 % on players whose turns differ. (Three in a
// thousand of 3,000 trials lie 1.2 points away by chance alone.) Where strokes are
// independent after all, the wider of the two covers a little more.
func TestCoverage(t *testing.T) {
	const trials = 3000
	sum, cells := 0.0, 0
	for _, turns := range []int{5, 12, 40} {
		for _, p := range []float64{.08, .2, .4} {
			for _, rho := range []float64{.02, .05, .1} {
				wilson, shown := coverage(turns, p, rho, trials)
				name := fmt.Sprintf("%d turns, rate %v, correlation %v", turns, p, rho)
				assert.GreaterOrEqual(t, shown, 93.-1.2, name)
				assert.LessOrEqual(t, shown, 97., name)
				assert.Less(t, wilson, 90., "%s: strokes are not independent", name)
				sum += shown
				cells++
			}
			_, shown := coverage(turns, p, 0, trials)
			assert.GreaterOrEqual(t, shown, 94.)
			assert.LessOrEqual(t, shown, 98.8)
		}
	}
	assert.InDelta(t, 95, sum/float64(cells), 1, "on average")
}

// BenchmarkCoverage prints the table of DEVELOPERS.md.
func BenchmarkCoverage(b *testing.B) {
	const trials = 10_000
	rhos := []float64{0, .02, .05, .1, .2}
	head, line := "| turns | rate |", "|---|---|"
	for _, rho := range rhos {
		head += fmt.Sprintf(" correlation %v |", rho)
		line += "---|"
	}
	fmt.Println(head + "\n" + line)
	for _, turns := range []int{5, 8, 12, 20, 40} {
		for _, p := range []float64{.03, .08, .2, .4} {
			line := fmt.Sprintf("| %d | %v |", turns, p)
			for _, rho := range rhos {
				wilson, shown := coverage(turns, p, rho, trials)
				line += fmt.Sprintf(" %.1f → %.1f |", wilson, shown)
			}
			fmt.Println(line)
		}
	}
	for b.Loop() {
		coverage(12, .2, .05, 1)
	}
}

func TestEffect(t *testing.T) {
	var m tally.Moments
	for _, x := range []int{0, 4, 0, 4, 2} {
		m.Add(x, 10)
	}
	m.Add(3, 0) // no stroke, no turn
	assert.Equal(t, tally.Moments{Turns: 5, X: 10, N: 50, XX: 36, XN: 100, NN: 500}, m)
	// By hand: r = .2, the squares of x - 2 add up to 16; 16 · 5/4 / (50 · .16) = 2.5.
	effect, ok := m.Effect()
	assert.True(t, ok)
	assert.InDelta(t, 2.5, effect, 1e-12)
	// Worth 50 / 2.5 · 1.959964² / 2.776445² = 9.9666 strokes; Wilson for 1.99332 of
	// those.
	c, ok := tally.Clustered(m)
	assert.True(t, ok)
	assert.InDelta(t, .05657, c.Low, 2e-5)
	assert.InDelta(t, .51035, c.High, 2e-5)
	s := tally.ShareOver(m)
	assert.Equal(t, tally.ByTurns, s.By)
	assert.Equal(t, []float64{c.Low, c.High}, []float64{s.Low, s.High})

	var few tally.Moments
	for range 4 {
		few.Add(1, 10)
	}
	_, ok = few.Effect()
	assert.False(t, ok, "four turns say too little")
	few.Add(0, 10)
	_, ok = few.Effect()
	assert.True(t, ok)
	var none tally.Moments
	for range 6 {
		none.Add(0, 10)
	}
	_, ok = tally.Clustered(none)
	assert.False(t, ok)
	assert.Equal(t, tally.ByStrokes, tally.ShareOver(none).By)
	assert.Nil(t, tally.ShareOver(tally.Moments{}))
}

// The quantile in use against gonum's.
func TestClusteredUsesStudentsQuantile(t *testing.T) {
	for turns := 5; turns < 200; turns++ {
		// Turns that differ exactly as chance makes them: an effect of 1.
		m := tally.Moments{Turns: turns, X: 2 * turns, N: 10 * turns, XN: 20 * turns, NN: 100 * turns}
		m.XX = 4*turns + 16*(turns-1)/10
		effect, _ := m.Effect()
		q := distuv.StudentsT{Sigma: 1, Nu: float64(turns - 1)}.Quantile(.975)
		z := distuv.UnitNormal.Quantile(.975)
		n := float64(m.N) / max(effect, 1e-9) * z * z / q / q
		if n >= float64(m.N) {
			continue
		}
		c, ok := tally.Clustered(m)
		assert.True(t, ok)
		// Centre of the score interval for .2 of n strokes.
		assert.InDelta(t, (.2*n+z*z/2)/(n+z*z), (c.Low+c.High)/2, 2e-6, "%d turns", turns)
	}
}
