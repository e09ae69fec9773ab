package alignment_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
)

// planted draws two recordings without making their sound: strokes at random, of which each
// hears seven in ten, some milliseconds off, among others that the other does not hear.
func planted(seed uint64, from, to [2]float64, offset, drift float64) (first, second alignment.Sound) {
	rng := rand.New(rand.NewPCG(seed, 7))
	end := max(to[0], offset+(1+drift)*to[1]) // on the first one's clock
	hear := func(s *alignment.Sound, t, from, to float64, loud float32) {
		if t < from || t > to {
			return
		}
		t -= from
		s.Moments = append(s.Moments, t)
		k := int(t * alignment.PeaksPerSecond)
		for len(s.Peaks) < k+5 {
			s.Peaks = append(s.Peaks, .002)
		}
		for i := range 4 {
			s.Peaks[k+i] = max(s.Peaks[k+i], loud/float32(1+i))
		}
	}
	for t := -50.; t < end; t += .3 + .5*rng.ExpFloat64() {
		way := .006 * (2*rng.Float64() - 1)
		if rng.Float64() < .7 {
			hear(&first, t, from[0], to[0], .4)
		}
		if rng.Float64() < .7 {
			hear(&second, (t-offset)/(1+drift)+way, from[1], to[1], .1)
		}
		if rng.Float64() < .3 {
			hear(&first, t+.15, from[0], to[0], .5)
		}
		if rng.Float64() < .3 {
			hear(&second, (t-offset)/(1+drift)+.15*rng.Float64(), from[1], to[1], .5)
		}
	}
	slices.Sort(first.Moments)
	slices.Sort(second.Moments)
	return first, second
}

func TestPlanted(t *testing.T) {
	for name, c := range map[string]struct {
		to            [2]float64
		offset, drift float64
	}{
		"a minute":                            {[2]float64{60, 60}, 12.3, 40e-6},
		"an hour, clocks far apart":           {[2]float64{3600, 3600}, -17.5, 110e-6},
		"a short one in a long one":           {[2]float64{1500, 90}, 1200.25, -60e-6},
		"a long one and a short one in it":    {[2]float64{90, 1500}, -1200.25, -60e-6},
		"only the end of one and the other's": {[2]float64{600, 600}, 480, 100e-6},
	} {
		t.Run(name, func(t *testing.T) {
			a, b := planted(3, [2]float64{}, c.to, c.offset, c.drift)
			f, err := alignment.Find(a, b)
			require.NoError(t, err)
			middle := (max(0, -c.offset) + min(c.to[1], c.to[0]-c.offset)) / 2
			require.InDelta(t, c.offset+(1+c.drift)*middle, f.At(middle), .003)
			require.InDelta(t, c.drift, f.Drift, max(3e-6, 1.6*f.DriftHalf))
			require.InDelta(t, 77, f.At(f.Back(77)), 1e-9)
		})
	}
}

func TestOthersAreRefused(t *testing.T) {
	var problem *club.Problem
	for seed := range uint64(50) {
		a, _ := planted(seed, [2]float64{}, [2]float64{120, 120}, 0, 0)
		_, b := planted(seed+1000, [2]float64{}, [2]float64{120, 120}, 0, 0)
		_, err := alignment.Find(a, b)
		require.ErrorAs(t, err, &problem, seed)
	}
	_, err := alignment.Find(alignment.Sound{}, alignment.Sound{})
	require.ErrorAs(t, err, &problem)
	require.Contains(t, problem.Say, "Too few sharp sounds")
}
