package alignment_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/alignment"
)

// spot is a place in a hall, metres.
type spot struct{ x, y float64 }

func (s spot) to(o spot) float64 { return math.Hypot(s.x-o.x, s.y-o.y) }

// played draws what two microphones hear of rallies at some tables, without making the
// sound: the first table is the filmed one. It returns by how much later its middle reaches
// the first microphone.
func played(seed uint64, ears [2]spot, drift, seconds float64, tables ...spot) (heard [2]alignment.Sound, middle float64) {
	rng := rand.New(rand.NewPCG(seed, 11))
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	type moment struct{ at, loud float64 }
	var all [2][]moment
	for _, table := range tables {
		for t := between(1, 4); t < seconds; t += between(1.5, 8) {
			side := 1.
			for range 3 + rng.IntN(12) {
				racket := spot{table.x + side*between(1.5, 2.6), table.y + between(-.7, .7)}
				half := spot{table.x - side*between(.2, 1.3), table.y + between(-.7, .7)}
				for _, p := range []spot{racket, half} {
					force := between(.5, 1)
					for i, e := range ears {
						if rng.Float64() < .75 {
							at := (t + p.to(e)*alignment.SoundPerMetre + .0003*rng.NormFloat64()) / (1 + drift*float64(i))
							all[i] = append(all[i], moment{at, force / max(.4, p.to(e))})
						}
					}
					t += between(.18, .38)
				}
				side = -side
			}
		}
	}
	for i, moments := range all {
		slices.SortFunc(moments, func(a, b moment) int { return cmp.Compare(a.at, b.at) })
		heard[i].Peaks = make([]float32, int((seconds+20)*alignment.PeaksPerSecond))
		for _, m := range moments {
			heard[i].Moments = append(heard[i].Moments, m.at)
			k := int(m.at * alignment.PeaksPerSecond)
			heard[i].Peaks[k] = max(heard[i].Peaks[k], float32(m.loud/3))
		}
	}
	return heard, (tables[0].to(ears[0]) - tables[0].to(ears[1])) * alignment.SoundPerMetre
}

// The filmed table is lined up, and not what most sounds are of: two other tables are played
// at as much.
func TestFilmedTableIsLinedUp(t *testing.T) {
	const drift = 40e-6
	for name, ears := range map[string][2]spot{
		"from both sides of the table":     {{-3, 1.5}, {2.9, 2}},
		"from behind one end and a corner": {{3.6, .4}, {-1.6, -2.5}},
		"across":                           {{-.3, 3}, {.2, -3}},
	} {
		t.Run(name, func(t *testing.T) {
			const seeds = 4
			for seed := range uint64(seeds) {
				heard, middle := played(seed, ears, drift, 600, spot{}, spot{6.5, 3}, spot{5, -6})
				f, err := alignment.Find(heard[0], heard[1])
				require.NoError(t, err)
				t.Logf("seed %d: offset %+.2f ms (half width %.2f), drift %+.2f ppm (half width %.2f)", seed, 1e3*(f.Offset-middle), 1e3*f.OffsetHalf, 1e6*(f.Drift-drift), 1e6*f.DriftHalf)
				require.InDelta(t, middle, f.Offset, .005)
				require.InDelta(t, drift, f.Drift, 1e-6)
			}
		})
	}
}

// Where a microphone stands beside another table, that may be what is lined up; the half
// width says so.
func TestTableBesideAMicrophone(t *testing.T) {
	const seeds = 10
	held := 0
	for seed := range uint64(seeds) {
		heard, middle := played(seed, [2]spot{{3.9, .6}, {.6, -4.4}}, 0, 300, spot{}, spot{.7, -5.6}, spot{-8.8, .8})
		f, err := alignment.Find(heard[0], heard[1])
		require.NoError(t, err)
		t.Logf("seed %d: offset %+.2f ms (half width %.2f)", seed, 1e3*(f.Offset-middle), 1e3*f.OffsetHalf)
		if math.Abs(f.Offset-middle) < f.OffsetHalf {
			held++
		}
	}
	require.GreaterOrEqual(t, held, seeds*8/10)
}

// Where sounds come too far apart to follow each other, what both detectors take for play
// says which table is filmed, once there is enough of it.
func TestDetectorsTellTheTableWithoutOrder(t *testing.T) {
	const others, later = 300, .004 // seconds
	for play, want := range map[int]float64{90: later, 20: 0} {
		rng := rand.New(rand.NewPCG(uint64(play), 12))
		var heard [2]alignment.Sound
		at := 1.
		for _, i := range rng.Perm(others + play) {
			at += .7 + rng.Float64()
			delay := .0003 * rng.NormFloat64()
			if i < play {
				delay += later
			}
			for k, moment := range []float64{at + delay, at} {
				heard[k].Moments = append(heard[k].Moments, moment)
				heard[k].Play = append(heard[k].Play, i < play)
			}
		}
		for k := range heard {
			heard[k].Peaks = make([]float32, int((at+20)*alignment.PeaksPerSecond))
			for _, moment := range heard[k].Moments {
				heard[k].Peaks[int(moment*alignment.PeaksPerSecond)] = .5
			}
		}
		f, err := alignment.Find(heard[0], heard[1])
		require.NoError(t, err)
		require.InDelta(t, want, f.Offset, .0006, "%d sounds taken for play", play)
	}
}

// Half widths hold what they say: in 19 of 20, and not because they are wide.
func TestHalfWidthsHold(t *testing.T) {
	const seeds, drift = 40, 30e-6
	offsets, drifts := 0, 0
	for seed := range uint64(seeds) {
		heard, middle := played(seed+100, [2]spot{{-3, 1.5}, {2.9, 2}}, drift, 200, spot{})
		f, err := alignment.Find(heard[0], heard[1])
		require.NoError(t, err)
		if math.Abs(f.Drift-drift) < f.DriftHalf {
			drifts++
		}
		if math.Abs(f.Offset-middle) < f.OffsetHalf {
			offsets++
		}
		require.Less(t, f.OffsetHalf, .008)
		require.Less(t, f.DriftHalf, 50e-6)
	}
	t.Logf("of %d: offsets %d, drifts %d", seeds, offsets, drifts)
	require.GreaterOrEqual(t, drifts, seeds*85/100)
	require.GreaterOrEqual(t, offsets, seeds*85/100)
}
