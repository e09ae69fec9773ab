package timecode

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// bases are those of real files: phones, camcorders, transport streams, web films.
var bases = []Base{{1, 12800}, {1, 90000}, {1, 1000}, {1001, 30000}, {1001, 60000}, {1, 25}, {1, 50}, {1, 48000}, {1, 14112000}}

func TestSecondsOfKnownTicks(t *testing.T) {
	// Published check M4: frame 107892 at 30000/1001 a second begins at 3599.9964 s
	// (SMPTE ST 12-1 counts it as 01:00:00:00).
	require.InDelta(t, 3599.9964, Base{1001, 30000}.Seconds(107892), 5e-5)
	require.Equal(t, .04, Base{1, 12800}.Seconds(512))
	require.Equal(t, -1., Base{1, 90000}.Seconds(-90000))
}

func TestTicksComeBackFromSeconds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(bases).Draw(t, "base")
		// A day of footage in the finest of the bases.
		ticks := rapid.Int64Range(-1<<41, 1<<41).Draw(t, "ticks")
		if got := b.Ticks(b.Seconds(ticks)); got != ticks {
			t.Fatalf("%v: %d came back as %d", b, ticks, got)
		}
		if b.Seconds(ticks) >= b.Seconds(ticks+1) {
			t.Fatalf("%v: tick %d does not come before the next", b, ticks)
		}
	})
}

// exact is the true value of ticks in another base.
func exact(ticks int64, from, to Base) *big.Rat {
	r := new(big.Rat).SetInt64(ticks)
	r.Mul(r, big.NewRat(from.Num, from.Den))
	return r.Mul(r, big.NewRat(to.Den, to.Num))
}

func checkRescale(t interface{ Fatalf(string, ...any) }, ticks int64, from, to Base) {
	want := exact(ticks, from, to)
	if f, _ := new(big.Float).SetRat(want).Float64(); math.Abs(f) > 1<<62 {
		return // does not fit into ticks
	}
	got := Rescale(ticks, from, to)
	off := new(big.Rat).Sub(want, new(big.Rat).SetInt64(got))
	if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
		t.Fatalf("%d of %v in %v is %s, not %d", ticks, from, to, want.FloatString(3), got)
	}
	if back := Rescale(-ticks, from, to); back != -got {
		t.Fatalf("%d of %v: %d, but %d the other way", ticks, from, got, back)
	}
}

func TestRescaleIsTheNearestTick(t *testing.T) {
	require.EqualValues(t, 48048, Rescale(1, Base{1001, 1}, Base{1, 48}))
	require.EqualValues(t, 1, Rescale(1, Base{1, 2}, Base{1, 1}), "halves go away from zero")
	require.EqualValues(t, -1, Rescale(-1, Base{1, 2}, Base{1, 1}), "halves go away from zero")
	rapid.Check(t, func(t *rapid.T) {
		checkRescale(t, rapid.Int64Range(-1<<62, 1<<62).Draw(t, "ticks"), rapid.SampledFrom(bases).Draw(t, "from"), rapid.SampledFrom(bases).Draw(t, "to"))
	})
}

func FuzzRescale(f *testing.F) {
	f.Add(int64(107892), int64(1001), int64(30000), int64(1), int64(90000))
	f.Add(int64(math.MaxInt64), int64(1), int64(3), int64(1), int64(2))
	f.Fuzz(func(t *testing.T, ticks, num, den, num2, den2 int64) {
		from, to := Base{num, den}, Base{num2, den2}
		if !from.Valid() || !to.Valid() || ticks == math.MinInt64 {
			return
		}
		checkRescale(t, ticks, from, to)
	})
}
