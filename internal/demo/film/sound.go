package film

import (
	"math"
	"math/rand/v2"

	"strokeledger/internal/demo"
)

// tone is one decaying partial of a struck body: hertz, strength, seconds to 1/e.
type tone struct{ hertz, gain, tau float64 }

// clickTones are those of a racket, a table, and whatever else: bright and
// short, duller and longer, and a thud. Decay times are our own assumption; no
// measured ones were found in print.
func clickTones(kind string) []tone {
	switch kind {
	case demo.OnRacket:
		return []tone{{1000, 0.3, 0.004}, {3500, 0.6, 0.004}, {9000, 0.4, 0.004}}
	case demo.OnTable:
		return []tone{{500, 0.5, 0.008}, {1200, 0.8, 0.008}}
	}
	return []tone{{180, 0.5, 0.012}, {420, 0.3, 0.009}}
}

// track is the sound at the camera, one channel: each contact as late and as
// weak as its distance makes it, and the hall.
func track(s *demo.Scene) []float32 {
	rng := rand.New(rand.NewPCG(s.Seed, 0x736f756e64))
	n := int(math.Round(s.Seconds(s.Frames) * demo.SoundRate))
	mix := make([]float64, n)
	for _, c := range s.Contacts {
		at := s.SoundArrives(c)
		loud := 1.5 / c.At.Sub(s.Camera.At).Length() * (0.85 + 0.3*rng.Float64())
		if c.Kind == demo.OnOther {
			loud *= 0.5
		}
		for _, p := range clickTones(c.Kind) {
			p.hertz *= 1 + 0.03*(2*rng.Float64()-1)
			p.gain *= loud * (0.85 + 0.3*rng.Float64())
			strike(mix, at, p)
			// The floor and the near wall answer, weakly.
			strike(mix, at+0.019, tone{p.hertz, p.gain * 0.06, p.tau})
			strike(mix, at+0.037, tone{p.hertz * 0.99, p.gain * 0.04, p.tau * 1.3})
		}
	}
	crowdNoise(mix, rng)
	out := make([]float32, n)
	for i, v := range mix {
		out[i] = float32(math.Tanh(v))
	}
	return out
}

// strike adds a partial that begins at a time between two samples, if need be.
func strike(mix []float64, at float64, p tone) {
	first := max(0, int(math.Ceil(at*demo.SoundRate)))
	for i := first; i < len(mix); i++ {
		t := float64(i)/demo.SoundRate - at
		if t > 9*p.tau {
			return
		}
		mix[i] += p.gain * math.Exp(-t/p.tau) * math.Cos(2*math.Pi*p.hertz*t)
	}
}

// crowdNoise is the hall: a low rush of air with a faint hiss, about -56 dB.
func crowdNoise(mix []float64, rng *rand.Rand) {
	var low, lower float64
	for i := range mix {
		white := rng.NormFloat64()
		low += 0.06 * (white - low)
		lower += 0.02 * (low - lower)
		mix[i] += 0.0035*low + 0.012*lower + 0.00035*white
	}
}
