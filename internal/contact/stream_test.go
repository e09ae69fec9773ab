package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// exchange is a long, plain rally: .3 s to each bounce and .2 s from there.
func exchange(seconds float64, rate int) []float32 {
	out := make([]float32, int(seconds*float64(rate)))
	for n := 0; float64(n)*.25 < seconds-.1; n++ {
		hertz, tau, late := []float64{1000, 3500, 9000}, .003, 0.
		if n%2 == 1 {
			late = .05
			hertz, tau = []float64{430, 1100}, .005
		}
		gain := .4
		if n%4 == 1 || n%4 == 2 {
			gain = .25 // the far side
		}
		first := int((float64(n)*.25 + late + .02 + .05*math.Abs(math.Sin(float64(n*n)))) * float64(rate))
		for i := range rate / 20 {
			t := float64(i) / float64(rate)
			for _, f := range hertz {
				if first+i < len(out) {
					out[first+i] += float32(gain / 3 * math.Exp(-t/tau) * math.Sin(2*math.Pi*f*t))
				}
			}
		}
	}
	return out
}

// A long stream is decided in windows whose seams do not show, and what is held
// meanwhile does not grow.
func TestLongStream(t *testing.T) {
	const rate, minutes = 16000, 20
	piece := exchange(60, rate)
	d, err := NewDetector(rate)
	require.NoError(t, err)
	var all []Contact
	held, heldSamples := 0, 0
	for range minutes {
		for rest := piece; len(rest) > 0; {
			n := min(rate, len(rest))
			all = append(all, d.Write(rest[:n])...)
			rest = rest[n:]
			held, heldSamples = max(held, len(d.waiting)), max(heldSamples, len(d.search.samples))
		}
	}
	early := len(all)
	all = append(all, d.Finish()...)
	require.Greater(t, early, 4*60*(minutes-6), "contacts come while the stream runs")
	require.Less(t, heldSamples, rate*2)
	require.Less(t, held, 330*6)

	played := 0
	for i, c := range all {
		if i > 0 {
			require.Greater(t, c.Seconds, all[i-1].Seconds)
		}
		if c.Kind == Other {
			continue
		}
		played++
		n := int(math.Mod(c.Seconds, 60) / .25)
		kind, who := Racket, Near
		if n%2 == 1 {
			kind = Bounce
		}
		if n%4 == 1 || n%4 == 2 { // strike near, bounce far, strike far, bounce near
			who = Far
		}
		require.Equal(t, kind, c.Kind, "at %.2f s", c.Seconds)
		require.Equal(t, who, c.Who, "at %.2f s", c.Seconds)
	}
	require.InDelta(t, 240*minutes, played, 4)
}
