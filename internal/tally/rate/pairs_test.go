package rate_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/tally/rate"
)

func pairs(days ...[4]float64) rate.Alike {
	var p rate.Pairs
	for _, d := range days {
		p.Add(d[0], d[1], d[2], d[3])
	}
	return p.Alike()
}

// By hand: on two days 2 and 4 of ten regular strokes, 6 and 4 of ten irregular ones.
// Differences .4 and 0 round .2, each with the weight 5, of which half is left: the
// squares add up to .4. Rates .3 and .5 make pq .21 and .25, so independent strokes give
// 2 · 2.5 · (.021 + .025) = .23, and a correlation of 1 adds 5 · (.21 + .25) · .9.
func TestPairs(t *testing.T) {
	a := pairs([4]float64{2, 10, 6, 10}, [4]float64{4, 10, 4, 10}, [4]float64{1, 10, 0, 0})
	assert.InDelta(t, .4-.23, a.Apart, 1e-12)
	assert.InDelta(t, 2.07, a.Room, 1e-12)
	assert.Equal(t, []float64{1, .5}, []float64{a.Free, a.Less})
	assert.Zero(t, pairs([4]float64{2, 10, 6, 10}), "one day")
	assert.Zero(t, pairs([4]float64{0, 10, 0, 10}, [4]float64{0, 8, 0, 9}), "no fault")
}

// What a day makes of both parts falls out; what it makes of one by itself is found.
func TestPairsFindsWhatTheDayMakesOfOnePart(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	found := func(own float64) float64 {
		var f rate.FaultAlike
		for range 400 {
			var days [][4]float64
			for range 4 {
				form := evenly(rnd, .2, .1)
				draw := func(n int) float64 {
					return distuv.Binomial{N: float64(n), P: min(1, max(0, unevenly(rnd, form, own))), Src: rnd}.Rand()
				}
				n1, n2 := 20+rnd.IntN(60), 20+rnd.IntN(60)
				days = append(days, [4]float64{draw(n1), float64(n1), draw(n2), float64(n2)})
			}
			a := pairs(days...)
			f.Apart += a.Apart
			f.Room += a.Room
		}
		return f.Apart / f.Room
	}
	assert.InDelta(t, 0, found(0), .02)
	assert.InDelta(t, .1, found(.1), .03)
}
