package tally_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// timed are turns of which no stroke was logged; their marks stand. Strokes come twenty
// a minute.
func timed(turns []club.TurnRecord) []club.TurnRecord {
	for i := range turns {
		turns[i].Strokes = nil
	}
	return turns
}

const aMinute = 20

// paceCoverage of the rates a minute, of the ratio of two methods, and how many of 100
// sheets call one different, where there is none. Rates of turns differ as where their
// strokes are counted; a turn has so many strokes that each has the mark or not, so
// that marks are not even a Poisson's where nothing is alike.
func paceCoverage(draw form, rho float64, turns, sheets int) (rates, ratios []cover, called float64) {
	rnd := rand.New(rand.NewPCG(17, uint64(turns)))
	c := fewCatalogue(1)
	w := practice{draw: draw, rho: rho, regular: ranged, irregular: ranged}
	rates, ratios = make([]cover, len(ranged)), make([]cover, len(ranged))
	for range sheets {
		all := tally.SummariseWith(c, timed(w.play(rnd, "p0", 1, turns, turns)), tally.Options{Lean: true})
		s := all.Players[0]
		if all.Tested.Surviving > 0 {
			called += 100 / float64(sheets)
		}
		for f, p := range ranged {
			code, r := fmt.Sprint("F", f), p*aMinute
			for _, l := range s.Methods[0].Faults {
				if l.Code == code {
					rates[f].add(l.PerMinute.Known(), l.PerMinute.Low <= r && r <= l.PerMinute.High)
				}
			}
			for _, d := range s.Comparisons {
				if d.Code == code {
					ratios[f].add(!d.Minutes.TooFewTurns, d.Minutes.Low <= 1 && (d.Minutes.High == nil || 1 <= *d.Minutes.High))
				}
			}
		}
	}
	return rates, ratios, called
}

// A 95 % interval a minute covers 93 to 97 % however turns differ, or is not given.
func TestPaceCoverage(t *testing.T) {
	const sheets, chance = 500, 2.7
	for _, turns := range []int{1, 4, 12} {
		for _, rho := range []float64{0, .05, .2} {
			rates, ratios, called := paceCoverage(smooth, rho, turns, sheets)
			assert.LessOrEqual(t, called, 7+chance, "%d turns, %v", turns, rho)
			for f := range ranged {
				for what, c := range map[string]cover{"rate": rates[f], "ratio": ratios[f]} {
					covers, judged := c.percent()
					if what == "rate" || ranged[f] > .1 {
						assert.Equal(t, turns > 1, judged, "%s %v, %d turns, %v", what, ranged[f], turns, rho)
					}
					if judged {
						assert.GreaterOrEqual(t, covers, 93-chance, "%s %v, %d turns, %v", what, ranged[f], turns, rho)
						assert.LessOrEqual(t, covers, 97+chance, "%s %v, %d turns, %v", what, ranged[f], turns, rho)
					}
				}
			}
		}
	}
}

// BenchmarkPaceCoverage prints the table of build/figures.md.
func BenchmarkPaceCoverage(b *testing.B) {
	sheets := 1000
	if testing.Short() {
		sheets = 400
	}
	rhos := []float64{0, .02, .05, .1, .2}
	for i, draw := range []form{smooth, moody} {
		fmt.Printf("| %s | marks a minute |", []string{"turns of each method", "the same, moody"}[i])
		for _, rho := range rhos {
			fmt.Printf(" correlation %v |", rho)
		}
		fmt.Println("\n|---|---|---|---|---|---|---|")
		for _, turns := range []int{1, 2, 3, 5, 8, 12, 20, 40} {
			var rates, ratios [5][]cover
			var called [5]float64
			for j, rho := range rhos {
				rates[j], ratios[j], called[j] = paceCoverage(draw, rho, turns, sheets*10/max(10, turns))
			}
			for f, p := range ranged {
				fmt.Printf("| %d | %v |", turns, p*aMinute)
				for j := range rhos {
					fmt.Printf(" %v, %v |", rates[j][f], ratios[j][f])
				}
				fmt.Println()
			}
			fmt.Printf("| %d | called different |", turns)
			for j := range rhos {
				fmt.Printf(" %.1f |", called[j])
			}
			fmt.Println()
		}
		fmt.Println("|  |")
	}
	b.ReportMetric(0, "ns/op")
}
