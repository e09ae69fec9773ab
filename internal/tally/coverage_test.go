package tally_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally"
)

func TestCov(t *testing.T) {
	for _, turns := range []int{5, 8, 12, 20, 40} {
		for _, p := range []float64{.03, .08, .2, .4} {
			line := ""
			for _, rho := range []float64{0, .02, .05, .1, .2} {
				rnd := rand.New(rand.NewPCG(7, uint64(turns)))
				wil, clu, both := 0, 0, 0
				const trials = 4000
				for range trials {
					var m tally.Moments
					for range turns {
						n := 15 + rnd.IntN(31)
						q := p
						if rho > 0 {
							q = distuv.Beta{Alpha: p * (1/rho - 1), Beta: (1 - p) * (1/rho - 1), Src: rnd}.Rand()
						}
						x := 0
						for range n {
							if rnd.Float64() < q {
								x++
							}
						}
						m.Add(x, n)
					}
					w, _ := tally.Wilson(m.X, m.N)
					c, ok := tally.Clustered(m)
					if !ok {
						c = w
					}
					in := func(l, h float64) bool { return l <= p && p <= h }
					if in(w.Low, w.High) {
						wil++
					}
					if in(c.Low, c.High) {
						clu++
					}
					if in(min(w.Low, c.Low), max(w.High, c.High)) {
						both++
					}
				}
				line += fmt.Sprintf("  %.1f %.1f %.1f |", 100*float64(wil)/trials, 100*float64(clu)/trials, 100*float64(both)/trials)
			}
			t.Log(turns, p, line)
		}
	}
}
