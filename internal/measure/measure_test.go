package measure_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/measure"
	"strokeledger/internal/table"
)

// ofStroke are the measures that one stroke has by itself.
func ofStroke() []club.Measure { return []club.Measure{club.FeetBehind, club.ElbowDrop, club.HandBack} }

// camera is one behind the corner, of a picture of 1280 by 720.
func camera(t *testing.T) *table.Camera {
	t.Helper()
	c, err := table.Fit(table.Clicks{Width: 1280, Height: 720,
		Corners: [4]table.Point{{X: 659, Y: 393}, {X: 329, Y: 324}, {X: 700, Y: 231}, {X: 951, Y: 258}},
		Tops:    []table.Point{{X: 882, Y: 276}, {X: 532, Y: 234}},
	})
	require.NoError(t, err)
	return c
}

// standing is a player whose feet are so many metres behind the end line, with the
// elbow and the wrist so many trunk lengths below the shoulder and above the hips.
func standing(t *testing.T, c *table.Camera, seconds, behind, elbow, wrist float64) measure.Body {
	t.Helper()
	at := func(x, y, z float64) measure.Joint {
		p, ok := c.See(x, y, z)
		require.True(t, ok)
		return measure.Joint{X: p.X, Y: p.Y, Visibility: .9}
	}
	b := measure.Body{Seconds: seconds}
	for i, y := range []float64{.5, .8} {
		b.Heel[i], b.Toe[i] = at(-behind-.12, y, .03), at(-behind+.12, y, .03)
		b.Hip[i], b.Shoulder[i] = at(-behind, y, .8), at(-behind, y, 1.3)
	}
	long := (b.Hip[0].Y+b.Hip[1].Y)/2 - (b.Shoulder[0].Y+b.Shoulder[1].Y)/2
	skew := (b.Hip[0].X+b.Hip[1].X)/2 - (b.Shoulder[0].X+b.Shoulder[1].X)/2
	long = math.Hypot(long, skew)
	for i := range b.Elbow {
		b.Elbow[i] = measure.Joint{X: b.Shoulder[i].X, Y: b.Shoulder[i].Y + elbow*long, Visibility: .9}
		b.Wrist[i] = measure.Joint{X: b.Shoulder[i].X, Y: (b.Hip[0].Y+b.Hip[1].Y)/2 - wrist*long, Visibility: .9}
	}
	return b
}

func TestOf(t *testing.T) {
	c := camera(t)
	s := measure.Stroke{Contact: 10, Next: 11, Racket: measure.Right}
	var bodies []measure.Body
	for n := range 60 { // 50 a second from 9.8 s on
		at := 9.8 + float64(n)/50
		behind, elbow, wrist := 1.2, .2, -.4 // away from the moments that count
		switch {
		case at > 9.91 && at < 10.05:
			behind, elbow = .41, .53
		case at > 10.35 && at < 10.47:
			wrist = .33
		}
		b := standing(t, c, at, behind, elbow, wrist)
		b.Elbow[measure.Left].Y += 500 // the other arm does not count
		b.Wrist[measure.Left].Y += 500
		bodies = append(bodies, b)
	}
	rand.Shuffle(len(bodies), func(i, j int) { bodies[i], bodies[j] = bodies[j], bodies[i] })
	v := measure.Of(s, bodies, c)
	require.InDelta(t, 41, v[club.FeetBehind].At, .5)
	require.Greater(t, v[club.FeetBehind].SD, 1.)
	require.Less(t, v[club.FeetBehind].SD, 6.)
	elbow := v[club.ElbowDrop].At
	require.Equal(t, v[club.ElbowDrop], measure.Of(s, bodies, nil)[club.ElbowDrop], "the camera does not count")
	require.InDelta(t, 33, v[club.HandBack].At, .1)

	// One picture in which the network took something else for the arm changes nothing.
	for i := range bodies {
		if b := &bodies[i]; math.Abs(b.Seconds-10) < .005 {
			b.Elbow[measure.Right].Y -= 300
		}
	}
	require.InDelta(t, elbow, measure.Of(s, bodies, c)[club.ElbowDrop].At, .1)

	// Where most pictures hide it, nothing is said, however sure the network is of the rest.
	for i := range bodies {
		if b := &bodies[i]; b.Seconds > 9.875 && b.Seconds < 10.01 {
			b.Elbow[measure.Right].Visibility = .3
		}
	}
	require.NotContains(t, measure.Of(s, bodies, c), club.ElbowDrop)
}

// What is not seen is not measured; what is somebody else's is no measure at all.
func TestNothingIsSaid(t *testing.T) {
	c := camera(t)
	s := measure.Stroke{Contact: 10, Next: 11}
	clear := func() (bodies []measure.Body) {
		for _, at := range []float64{9.96, 10, 10.04, 10.4} {
			bodies = append(bodies, standing(t, c, at, .5, .7, .3))
		}
		return bodies
	}
	each := func(b []measure.Body, change func(b *measure.Body)) []measure.Body {
		for i := range b {
			change(&b[i])
		}
		return b
	}
	kinds := func(v measure.Values) (out []club.Measure) {
		for _, k := range ofStroke() {
			if _, ok := v[k]; ok {
				out = append(out, k)
			}
		}
		return out
	}
	require.Equal(t, ofStroke(), kinds(measure.Of(s, clear(), c)))
	require.Equal(t, []club.Measure{club.ElbowDrop, club.HandBack}, kinds(measure.Of(s, clear(), nil)))
	require.Empty(t, measure.Of(s, nil, c))

	b := each(clear(), func(b *measure.Body) { b.Toe[measure.Left].Visibility = .4 })
	require.Equal(t, []club.Measure{club.ElbowDrop, club.HandBack}, kinds(measure.Of(s, b, c)))
	b = each(clear(), func(b *measure.Body) { b.Elbow[measure.Right].Visibility = .4 })
	require.Equal(t, []club.Measure{club.FeetBehind, club.HandBack}, kinds(measure.Of(s, b, c)))
	b = each(clear(), func(b *measure.Body) { b.Elbow[measure.Right].Y = b.Shoulder[measure.Right].Y - 20 })
	require.Equal(t, []club.Measure{club.FeetBehind, club.HandBack}, kinds(measure.Of(s, b, c)), "no arm lies so high")
	require.Equal(t, []club.Measure{club.FeetBehind, club.HandBack}, kinds(measure.Of(s, clear()[1:], c)), "two pictures are too few for an arm")
	b = each(clear(), func(b *measure.Body) { b.Hip[measure.Left].Visibility = .4 })
	require.Equal(t, ofStroke(), kinds(measure.Of(s, b, c)), "the other hip stands for both")
	b = each(b, func(b *measure.Body) { b.Hip[measure.Right].Visibility = .4 })
	require.Empty(t, measure.Of(s, b, c), "no trunk to measure by")
	b = each(clear(), func(b *measure.Body) {
		for _, pair := range b.Pairs() {
			pair[0], pair[1] = pair[1], pair[0]
		}
	})
	require.Equal(t, []club.Measure{club.FeetBehind, club.HandBack}, kinds(measure.Of(s, b, c)), "left and right are exchanged")

	high := fromBehind(t, 7, 3, 25)
	for behind, empty := range map[float64]bool{-2.2: true, -.1: true, .4: false, 2.8: false, 3.2: true} {
		b = []measure.Body{standing(t, high, 10, behind, .7, .3), standing(t, high, 10.4, behind, .7, .3)}
		require.Equal(t, empty, len(measure.Of(s, b, high)) == 0, "somebody %.1f m behind the end line", behind)
	}
}

// fromBehind is a camera so many metres behind the table and high that looks down by so
// many degrees.
func fromBehind(t *testing.T, behind, high, degrees float64) *table.Camera {
	t.Helper()
	see := func(x, y, z float64) table.Point {
		down := degrees / 180 * math.Pi
		x, y, z = x+behind, y-.7625, z-high
		ahead := x*math.Cos(down) - z*math.Sin(down)
		up := x*math.Sin(down) + z*math.Cos(down)
		return table.Point{X: 640 - 1000*y/ahead, Y: 360 - 1000*up/ahead}
	}
	c, err := table.Fit(table.Clicks{Width: 1280, Height: 720, SD: .5,
		Corners: [4]table.Point{see(0, 0, .76), see(0, 1.525, .76), see(2.74, 1.525, .76), see(2.74, 0, .76)},
		Tops:    []table.Point{see(1.37, -.1525, .9125), see(1.37, 1.6775, .9125)},
	})
	require.NoError(t, err)
	return c
}

// Without a next stroke, or with one after a pause, the hand is looked at when the next
// would be on its way.
func TestSpans(t *testing.T) {
	for _, s := range []measure.Stroke{{Contact: 10}, {Contact: 10, Next: 13}, {Contact: 10, Next: 11}} {
		hand := s.Spans()[club.HandBack]
		require.InDelta(t, 10.36, hand.From, 1e-9)
		require.InDelta(t, 10.46, hand.To, 1e-9)
	}
	require.InDelta(t, 10.216, measure.Stroke{Contact: 10, Next: 10.6}.Spans()[club.HandBack].From, 1e-9)
}

func TestLimitOf(t *testing.T) {
	clean, faulty := []float64{60, 58, 62, 64, 56}, []float64{40, 38, 42, 44, 36}
	limit, ok := measure.LimitOf(clean, faulty)
	require.True(t, ok)
	require.InDelta(t, 50, limit, 1e-9)
	require.Equal(t, []float64{60, 58, 62, 64, 56}, clean, "not sorted in place")
	_, ok = measure.LimitOf(clean[:4], faulty)
	require.False(t, ok, "too few")
	_, ok = measure.LimitOf(faulty, clean)
	require.False(t, ok, "the wrong way round")
}

// Of the strokes that are measured with an error, as many lie beyond the limit as is
// said of them, for strokes that are spread evenly.
func TestBeyondIsCalibrated(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 14))
	const limit = 45
	var said, so float64
	suggestions := 0
	for range 200_000 {
		is := 20 + 55*rng.Float64()
		v := measure.Value{At: is + 3*rng.NormFloat64(), SD: 3}
		if rng.Float64() < .02 {
			v.At = 20 + 55*rng.Float64() // somebody else's feet
		}
		chance, suggested := v.Beyond(limit)
		require.Equal(t, v.At <= limit-3, suggested)
		if !suggested || chance > .9 {
			continue
		}
		suggestions++
		said += chance
		if is < limit {
			so++
		}
	}
	require.Greater(t, suggestions, 1000)
	require.InDelta(t, said/float64(suggestions), so/float64(suggestions), .02)
}
