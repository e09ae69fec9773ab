package joined

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Chances, sum and gaps are those over all choices, tried one by one.
func TestChancesOverAllChoices(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 40 {
		s := series{pace: pace{.1, .2}, rhythmic: []float64{0, .8}[rng.IntN(2)]}
		at := 0.
		for range 11 {
			at += 1.2 * rng.Float64()
			s.sounds, s.odds = append(s.sounds, heard{at: at}), append(s.odds, 2*rng.NormFloat64())
		}
		got, sum, gaps := s.chances()
		want, all, share := make([]float64, len(s.odds)), 0., 0.
		for choice := range uint(1) << len(s.odds) {
			weight, followed := 1., 0.
			last := math.Inf(-1)
			for i, sound := range s.sounds {
				if choice>>i&1 == 0 {
					continue
				}
				switch gap := sound.at - last; {
				case gap < apart:
					weight = 0
				case gap <= long:
					log, part := s.factor(gap)
					weight *= math.Exp(log)
					followed += part
				default:
					weight *= 1 - s.rhythmic
				}
				weight *= math.Exp(s.odds[i])
				last = sound.at
			}
			all += weight
			share += weight * followed
			for ; choice != 0; choice &= choice - 1 {
				want[bits.TrailingZeros(choice)] += weight
			}
		}
		require.InDelta(t, math.Log(all), sum, 1e-9)
		for i := range want {
			require.InDelta(t, want[i]/all, got[i], 1e-9)
		}
		if s.rhythmic > 0 {
			require.InDelta(t, share/all, gaps.n, 1e-9)
		}
	}
}

// The pace comes from the gaps: a player who strikes every 0.9 s has that.
func TestPaceIsLearned(t *testing.T) {
	var s total
	for i := range 30 {
		g := math.Log(.9) + .05*float64(i%3-1)
		s.n, s.sum, s.squares = s.n+1, s.sum+g, s.squares+g*g
	}
	require.InDelta(t, .9, math.Exp(s.pace().mean), .01)
	require.Less(t, s.pace().spread, .1)
	require.InDelta(t, usualPace().mean, total{}.pace().mean, 1e-9)
}

// Strokes are parted from the rest along the trait in which they differ, also where both
// vary along with another trait.
func TestParting(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	turn, struck := make([]heard, 2000), make([]bool, 2000)
	var stroke, rest [traits]float64
	n := 0.
	for i := range turn {
		struck[i] = i%10 == 0
		both := 3 * rng.NormFloat64() // what a loud moment does to two traits alike
		for k := range turn[i].x {
			turn[i].x[k] = rng.NormFloat64()
		}
		turn[i].x[3] += both
		turn[i].x[4] += both
		if struck[i] {
			turn[i].x[3] += 3
			n++
		}
		for k, v := range turn[i].x {
			if struck[i] {
				stroke[k] += v
			} else {
				rest[k] += v
			}
		}
	}
	for k := range stroke {
		stroke[k], rest[k] = stroke[k]/n, rest[k]/(2000-n)
	}
	all := [][]heard{turn}
	mean := whole(all)
	p := spreadOf(all, &mean).between(&stroke, &rest, n/2000)
	right := 0
	for i := range turn {
		if (p.odds(&turn[i].x) > 0) == struck[i] {
			right++
		}
	}
	require.Greater(t, right, 1650, "one trait alone parts 1500 at most where both come alike often")
}
