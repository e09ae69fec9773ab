package tally_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// unknown is what a club says of turns without strokes that it has none of.
var unknown = tally.Likeness{}

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

// By hand: five turns of a minute with 2, 6, 4, 0 and 8 marks. r = 4, the squares round
// it add up to 40, T = TT = 5, so a part of 1 - 1/5 is left: 40 - 4·.8·5 by 4·.8·5, an
// unevenness of 1.5 a minute and an effect of 1 + 1.5·1.
func TestPaceEffect(t *testing.T) {
	var m tally.Minutes
	for _, x := range []int{2, 6, 4, 0, 8} {
		m.Add(x, 1)
	}
	m.Add(0, 0) // no time, no turn
	assert.Equal(t, tally.Minutes{Turns: 5, X: 20, T: 5, XX: 120, XT: 20, TT: 5}, m)
	effect, freedom, ok := tally.Likeness{Correlation: 1.5, Freedom: 1e9}.PaceEffect(m)
	require.True(t, ok)
	assert.InDelta(t, 2.5, effect, 1e-9)
	assert.Equal(t, 60., freedom)
	_, _, ok = unknown.PaceEffect(m)
	assert.False(t, ok, "five turns say too little")
	p := tally.PaceOver(m, unknown)
	assert.Equal(t, []any{4., 0., tally.NoInterval, 5, false}, []any{p.Rate, p.Low, p.By, p.Turns, p.Known()})
	assert.Nil(t, tally.PaceOver(tally.Minutes{}, wellKnown(0)))
}

// The score interval of a Poisson mean: Barker L (2002) Am Stat 56:85-89 has its ends
// as the roots of (x - m)² = z²m; here 10 marks, z = 1.959964, by hand.
func TestPaceIntervalIsTheScores(t *testing.T) {
	m := tally.Minutes{Turns: 10, X: 10, T: 1, XX: 19, XT: 1, TT: .1} // squares of 9: even
	p := tally.PaceOver(m, tally.Likeness{Freedom: 1e9})
	// 60 degrees of freedom at most: z is a t.
	q := distuv.StudentsT{Sigma: 1, Nu: 60}.Quantile(.975)
	for _, end := range []float64{p.Low, p.High} {
		assert.InDelta(t, q*q*end, (10-end)*(10-end), 1e-3)
	}
	assert.Less(t, p.Low, p.High)
	none := tally.PaceOver(tally.Minutes{Turns: 10, T: 5, TT: 2.5}, tally.Likeness{Freedom: 1e9})
	assert.Zero(t, none.Low)
	assert.Positive(t, none.High)
}

// Gu K et al. (2008) Biometrical J 50:283-298, example 1: the score statistic is
// 3.417402 (p .000316 one-sided), and its interval of the ratio 1.365962 to 3.259306
// (R's ratesci 0.4-0, scoreci), both for a normal; here for Student's t.
func TestPacesApartAgainstPublished(t *testing.T) {
	// As many turns as marks, as uneven as a Poisson's: by 59 and 29.
	one := tally.Minutes{Turns: 60, X: 60, T: 51477.5, XX: 60 + 59, XT: 51477.5, TT: 51477.5 * 51477.5 / 60}
	two := tally.Minutes{Turns: 30, X: 30, T: 54308.7, XX: 30 + 29, XT: 54308.7, TT: 54308.7 * 54308.7 / 30}
	known := tally.Likeness{Freedom: 1e9}
	r, ok := tally.PacesApart(one, two, known)
	require.True(t, ok)
	assert.InDelta(t, 2.109997571755, r.Ratio, 1e-9)
	assert.InDelta(t, 2*distuv.StudentsT{Sigma: 1, Nu: 88}.Survival(3.417402), r.P, 1e-7)
	q := distuv.StudentsT{Sigma: 1, Nu: 88}.Quantile(.975) / distuv.UnitNormal.Quantile(.975)
	assert.Less(t, r.Low, 1.365962)
	assert.Greater(t, r.High, 3.259306)
	assert.InDelta(t, 1.365962, r.Low, 1.365962*(q-1))
	assert.InDelta(t, 3.259306, r.High, 3.259306*(q-1))
	again, _ := tally.PacesApart(two, one, known)
	assert.InDelta(t, r.P, again.P, 1e-12)
	assert.InDelta(t, 1/r.High, again.Low, 1e-9)

	none := two
	none.X, none.XX, none.XT = 0, 0, 0
	r, ok = tally.PacesApart(one, none, known)
	require.True(t, ok)
	assert.True(t, math.IsInf(r.Ratio, 1) && math.IsInf(r.High, 1))
	assert.Positive(t, r.Low)
	r, _ = tally.PacesApart(none, one, known)
	assert.Equal(t, []float64{0, 0}, []float64{r.Ratio, r.Low})
	_, ok = tally.PacesApart(none, none, known)
	assert.False(t, ok, "no mark, no ratio")
	_, ok = tally.PacesApart(one, two, unknown)
	assert.True(t, ok, "ninety turns speak for themselves")
	few := one
	few.Turns = 2
	_, ok = tally.PacesApart(few, two, known)
	assert.False(t, ok, "two turns")
}
