package measure_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/measure"
)

// returning draws a turn of strokes a second apart. The hand of each is back so many
// seconds after its contact, NaN for never: it falls from the follow-through past where it
// waits, hangs, and comes up within 0.1 s; it leaves 0.4 s before the next contact.
func returning(back []float64, noise float64) (strokes []measure.Stroke, bodies []measure.Body) {
	rng := rand.New(rand.NewPCG(3, 5))
	const trunk = 100.
	for i := range back {
		s := measure.Stroke{Contact: 10 + float64(i)}
		if i+1 < len(back) {
			s.Next = s.Contact + 1
		}
		strokes = append(strokes, s)
		for n := range 24 {
			after := .04 * float64(n)
			x, y := .5, -.3 // where it waits, trunks from the hips
			switch t := after; {
			case t < .2:
				x, y = .9, -1+4*t
			case t < back[i]-.05:
				x, y = .3, .4
			case t < back[i]+.05:
				k := (t - back[i] + .05) / .1
				x, y = .3+.2*k, .4-.7*k
			}
			if left := after - .6; left > 0 && i+1 < len(back) {
				x -= 4 * left
			}
			b := measure.Body{Seconds: s.Contact + after}
			at := func(x, y, sure float64) measure.Joint {
				return measure.Joint{X: 300 + trunk*x + noise*rng.NormFloat64(), Y: 300 + trunk*y + noise*rng.NormFloat64(), Visibility: sure}
			}
			for side := range b.Hip {
				b.Hip[side], b.Shoulder[side] = at(0, 0, .9), at(0, -1, .9)
				b.Wrist[side] = at(x, y, .3)
			}
			bodies = append(bodies, b)
		}
	}
	return strokes, bodies
}

func TestReturns(t *testing.T) {
	const never = 9
	back := []float64{.3, .35, .4, .5, .3, never, .45, .32, .38, .3}
	strokes, bodies := returning(back, 2)
	rand.Shuffle(len(bodies), func(i, j int) { bodies[i], bodies[j] = bodies[j], bodies[i] })
	for i, r := range measure.Returns(strokes, bodies) {
		require.True(t, r.Told, "stroke %d", i)
		require.Equal(t, back[i] == never, r.Never, "stroke %d", i)
		if r.Never {
			require.Greater(t, r.At, strokes[i].Contact+.6, "not before it has begun to swing")
			continue
		}
		require.InDelta(t, strokes[i].Contact+back[i], r.At, .05, "stroke %d", i)
		require.LessOrEqual(t, r.SD, .15)
	}

	// One picture in which the network has the wrist elsewhere changes nothing.
	clear := measure.Returns(strokes, bodies)
	for i := range bodies {
		if b := &bodies[i]; b.Seconds > 10.51 && b.Seconds < 10.53 {
			b.Wrist[measure.Right].X += 300
		}
	}
	require.InDelta(t, clear[0].At, measure.Returns(strokes, bodies)[0].At, .01)
}

// Nothing is said where the wrist is hidden, where too few strokes show where the hand
// waits, and of nobody.
func TestReturnsSayNothing(t *testing.T) {
	strokes, bodies := returning([]float64{.3, .35, .4, .5, .3}, 1)
	hidden := 0
	for i := range bodies {
		if b := &bodies[i]; b.Seconds > 11.1 && b.Seconds < 11.8 && hidden < 4 {
			b.Wrist[measure.Right].Visibility = .02
			hidden++
		}
	}
	told := measure.Returns(strokes, bodies)
	require.Zero(t, told[1])
	require.True(t, told[0].Told && told[2].Told)

	require.True(t, measure.Returns(strokes[1:], bodies)[1].Told)
	strokes[3].Next = 0 // a pause: now two strokes alone show it
	for _, r := range measure.Returns(strokes[1:], bodies) {
		require.Zero(t, r)
	}
	for _, r := range measure.Returns(strokes, nil) {
		require.Zero(t, r)
	}
}
