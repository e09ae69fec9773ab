package prior_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/tally/interval"
	"strokeledger/internal/tally/prior"
)

// Efron B, Morris C (1977) Sci Am 236(5):119-127: hits out of 45 of 18 batters,
// whose rates over the rest of the season are printed too. Beta-binomial maximum
// likelihood computed with scipy 1.10.1.
func TestFitSharesAgainstEfronMorris(t *testing.T) {
	hits := []int{18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7}
	season := []float64{.346, .298, .276, .222, .273, .270, .263, .210, .269, .230, .264, .256, .303, .264, .226, .285, .316, .200}
	n := make([]int, len(hits))
	for i := range n {
		n[i] = 45
	}
	fit := prior.FitShares(hits, n)
	require.Equal(t, prior.Fitted, fit.How)
	assert.InDelta(t, .272657, fit.Expect(hits[0], 45, false).Rate, 1e-4)
	assert.InDelta(t, .259534, fit.Expect(hits[17], 45, false).Rate, 1e-4)
	raw, drawn := 0.0, 0.0
	for i, x := range hits {
		r, e := float64(x)/45-season[i], fit.Expect(x, 45, false).Rate-season[i]
		raw += r * r
		drawn += e * e
	}
	assert.InDelta(t, .075317, raw, 1e-6)
	assert.Less(t, drawn, .0235, "the paper's own way comes to .0213")
}

// Clayton D, Kaldor J (1987) Biometrics 43:671-681: lip cancer in 56 districts of
// Scotland, observed and expected; values computed with R 4.2.2 (MASS::glm.nb).
func TestFitPacesAgainstClaytonKaldor(t *testing.T) {
	o := []int{9, 39, 11, 9, 15, 8, 26, 7, 6, 20, 13, 5, 3, 8, 17, 9, 2, 7, 9, 7, 16, 31, 11, 7, 19, 15, 7, 10, 16, 11, 5, 3, 7, 8, 11, 9, 11, 8, 6, 4, 10, 8, 2, 6, 19, 3, 2, 3, 28, 6, 1, 1, 1, 1, 0, 0}
	e := []float64{1.4, 8.7, 3.0, 2.5, 4.3, 2.4, 8.1, 2.3, 2.0, 6.6, 4.4, 1.8, 1.1, 3.3, 7.8, 4.6, 1.1, 4.2, 5.5, 4.4, 10.5, 22.7, 8.8, 5.6, 15.5, 12.5, 6.0, 9.0, 14.4, 10.2, 4.8, 2.9, 7.0, 8.5, 12.3, 10.1, 12.7, 9.4, 7.2, 5.3, 18.8, 15.8, 4.3, 14.6, 50.7, 8.2, 5.6, 9.3, 88.7, 19.6, 3.4, 3.6, 5.7, 7.0, 4.2, 1.8}
	fit := prior.FitPaces(o, e)
	require.Equal(t, prior.Fitted, fit.How)
	assert.InDelta(t, 1.321667, fit.Strength, 1e-3)
	assert.InDelta(t, 1.879490, fit.Mean*fit.Strength, 1e-3)
	assert.InDelta(t, 1.422060, fit.Mean, 1e-3)
	for district, want := range map[int]float64{1: 3.9974, 2: 4.0791, 3: 2.9802, 49: .3319, 50: .3766, 55: .3404, 56: .6021} {
		assert.InDelta(t, want, fit.Expect(o[district-1], e[district-1], true).Rate, 1e-3, "district %d", district)
	}
}

// Pumps: Gaver DP, O'Muircheartaigh IG (1987) Technometrics 29:1-15 (the BUGS
// examples have the same data, rounded); values computed with scipy 1.10.1, with
// which R's MASS agrees.
func TestFitPacesAgainstPumps(t *testing.T) {
	x := []int{5, 1, 5, 14, 3, 19, 1, 1, 4, 22}
	at := []float64{94.320, 15.720, 62.880, 125.760, 5.240, 31.440, 1.048, 1.048, 2.096, 10.480}
	fit := prior.FitPaces(x, at)
	assert.InDelta(t, .82226864, fit.Mean*fit.Strength, 1e-6)
	assert.InDelta(t, 1.25895440, fit.Strength, 1e-6)
	for i, want := range []float64{.06092, .10733, .09078, .11669, .58814, .60620, .78990, .78990, 1.43736, 1.94415} {
		assert.InDelta(t, want, fit.Expect(x[i], at[i], true).Rate, 5e-6)
	}
}

func TestFitGuards(t *testing.T) {
	alike := prior.FitShares([]int{5, 5, 5, 5, 5, 5}, []int{50, 50, 50, 50, 50, 50})
	assert.Equal(t, prior.AllAlike, alike.How, "closer together than chance allows")
	assert.Equal(t, .1, alike.Expect(50, 50, false).Rate, "all pooled")
	assert.Equal(t, prior.AllAlike, prior.FitShares([]int{0, 0, 0, 0, 0}, []int{9, 9, 9, 9, 9}).How)
	assert.Equal(t, prior.AllAlike, prior.FitPaces([]int{4, 4, 4, 4, 4}, []float64{2, 2, 2, 2, 2}).How)

	few := prior.FitShares([]int{3, 10, 10, 0}, []int{3, 100, 100, 0})
	assert.Equal(t, prior.Fit{Players: 3, Mean: 23.5 / 204, Strength: 4, How: prior.WeakPrior}, few)
	assert.Less(t, few.Expect(3, 3, false).Rate, .5, "three unlucky strokes do not lead the list")
	none := prior.FitShares(nil, nil)
	assert.Equal(t, prior.Expected{}, none.Expect(0, 0, false))
	// Minutes that came in after the club's own were read.
	assert.Equal(t, prior.Expected{High: interval.Poisson(0).High / 3}, none.Expect(0, 3, true))
	assert.Panics(t, func() { prior.FitShares([]int{1}, nil) })
	assert.Panics(t, func() { prior.FitPaces([]int{1}, nil) })
}

func TestFitDrawsTowardsTheClub(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var x, n []int
		var minutes []float64
		for range rapid.IntRange(1, 30).Draw(t, "players") {
			n = append(n, rapid.IntRange(0, 400).Draw(t, "n"))
			x = append(x, rapid.IntRange(0, n[len(n)-1]).Draw(t, "x"))
			minutes = append(minutes, float64(n[len(n)-1])/20)
		}
		for i := range x {
			for _, perMinute := range []bool{false, true} {
				fit, exposure := prior.FitShares(x, n), float64(n[i])
				if perMinute {
					fit, exposure = prior.FitPaces(x, minutes), minutes[i]
				}
				if exposure == 0 {
					continue
				}
				raw := float64(x[i]) / exposure
				e := fit.Expect(x[i], exposure, perMinute)
				if e.Rate < min(raw, fit.Mean)-1e-9 || e.Rate > max(raw, fit.Mean)+1e-9 {
					t.Fatalf("%v of %v with %+v: %+v does not lie between", x[i], exposure, fit, e)
				}
				if e.Low > e.Rate+1e-12 || e.High < e.Rate-1e-12 {
					t.Fatalf("%+v", e)
				}
				// Ten times the strokes at the same rate: no further from what was seen.
				more := fit.Expect(10*x[i], 10*exposure, perMinute)
				if d, m := e.Rate-raw, more.Rate-raw; m*m > d*d+1e-12 {
					t.Fatalf("more strokes drew %+v to %+v", e, more)
				}
			}
		}
	})
}

func BenchmarkFitShares(b *testing.B) {
	x, n := make([]int, 300), make([]int, 300)
	for i := range x {
		n[i] = 9000 + i
		x[i] = 100 + i*i%400
	}
	for b.Loop() {
		prior.FitShares(x, n)
	}
}
