package picture_test

import (
	"image"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/picture"
)

// clock is a clip's, by the moments of its pictures; the last stands as long as the one before.
type clock []float64

func (c clock) Len() int              { return len(c) }
func (c clock) Seconds(n int) float64 { return c[max(0, min(n, len(c)-1))] }
func (c clock) EndSeconds() float64   { return 2*c[len(c)-1] - c[len(c)-2] }
func (c clock) FrameAt(s float64) int {
	return sort.SearchFloat64s(c, math.Nextafter(s, math.Inf(1))) - 1
}

func even(rate float64, pictures int) (c clock) {
	for n := range pictures {
		c = append(c, float64(n)/rate)
	}
	return c
}

// uneven is a film whose pictures stand between a half and one and a half times as long.
func uneven(r *rand.Rand, rate float64, pictures int) (c clock) {
	at := r.Float64()
	for range pictures {
		c = append(c, at)
		at += (0.5 + r.Float64()) / rate
	}
	return c
}

func TestLockAtTwoRates(t *testing.T) {
	slow, fast := even(25, 100), even(50, 200)
	l := picture.Lock{Frame: 10, Other: 60}
	for n, want := range map[int]int{10: 60, 11: 62, 12: 64, 0: 40, 79: 198} {
		require.Equal(t, want, l.Of(slow, fast, n), "frame %d", n)
	}
	require.Equal(t, -1, l.Of(slow, fast, 80), "the other clip is over")
	require.Equal(t, -1, picture.Lock{Frame: 10, Other: 2}.Of(slow, fast, 8), "it has not begun")
	back := l.Turned()
	for n, want := range map[int]int{60: 10, 61: 10, 62: 11, 63: 11, 58: 9, 59: 9} {
		require.Equal(t, want, back.Of(fast, slow, n), "of two as near the earlier, frame %d", n)
	}
	slowed := picture.Lock{Frame: 10, Other: 60, Pace: 4} // the other plays four times slower than it was filmed
	require.Equal(t, 68, slowed.Of(slow, fast, 11))
	require.Equal(t, 11, slowed.Turned().Of(fast, slow, 68))
	require.Equal(t, -1, l.Of(clock{}, fast, 0))
	require.Equal(t, -1, l.Of(slow, clock{}, 0))
}

// Whatever the rates, no other picture of the clip is nearer in time, and the locked frames
// show each other.
func TestLockIsTheNearestPicture(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 15))
		a, b := uneven(r, 20+100*r.Float64(), 60), uneven(r, 20+100*r.Float64(), 60)
		l := picture.Lock{Frame: r.IntN(60), Other: r.IntN(60)}
		require.Equal(t, l.Other, l.Of(a, b, l.Frame))
		require.Equal(t, l.Frame, l.Turned().Of(b, a, l.Other))
		for n := range a {
			at := b[l.Other] + a[n] - a[l.Frame]
			got := l.Of(a, b, n)
			if at < b[0]-1e-6 || at > b.EndSeconds()-1e-6 {
				require.Equal(t, -1, got)
				continue
			}
			for k := range b {
				require.LessOrEqual(t, math.Abs(b[got]-at), math.Abs(b[k]-at)+2e-6, "seed %d, frame %d: %d, not %d", seed, n, got, k)
			}
		}
	}
}

func TestPartOfAView(t *testing.T) {
	box := image.Pt(960, 540)
	v := picture.WholeView()
	require.True(t, v.Part(picture.Adjustment{}, 1920, 1080, box).Empty(), "all of it")
	v.Times = 2
	require.Equal(t, image.Rect(480, 270, 1440, 810), v.Part(picture.Adjustment{}, 1920, 1080, box))
	v.X, v.Y = 0.1, 0.95
	require.Equal(t, image.Rect(0, 540, 960, 1080), v.Part(picture.Adjustment{}, 1920, 1080, box), "held inside")
	require.Equal(t, image.Rect(960, 540, 1920, 1080), v.Part(picture.Adjustment{Mirror: true}, 1920, 1080, box), "as it is shown")
	require.Equal(t, image.Rect(0, 0, 1080, 608), v.Part(picture.Adjustment{Rotation: 1}, 1080, 1920, image.Pt(1080, 608)).Intersect(image.Rect(0, 0, 1080, 608)),
		"a box of another shape shows all of the short side")
}

func TestMirrorOfAView(t *testing.T) {
	v := picture.View{Mirror: true}
	require.Equal(t, picture.Adjustment{Mirror: true}, v.Adjusted(picture.Adjustment{}))
	require.Equal(t, picture.Adjustment{}, v.Adjusted(picture.Adjustment{Mirror: true}))
	for rotation := range 4 {
		a := picture.Adjustment{Rotation: rotation}
		p := picture.Point{X: 0.2, Y: 0.3}
		plain, mirrored := a.Shown(p), v.Adjusted(a).Shown(p)
		require.InDelta(t, 1-plain.X, mirrored.X, 1e-12, "as it is seen, left is right")
		require.InDelta(t, plain.Y, mirrored.Y, 1e-12)
	}
}
