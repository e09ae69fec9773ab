package hall

import "math"

// resonant is a two-pole resonator scaled to a gain near 1 for white noise.
type resonant struct{ a1, a2, g, y1, y2 float64 }

func resonator(hertz, width, rate float64) *resonant {
	r := math.Exp(-math.Pi * width / rate)
	a1 := -2 * r * math.Cos(2*math.Pi*hertz/rate)
	a2 := r * r
	// Variance of the two-pole filter's output for white noise of variance 1.
	v := (1 + a2) / ((1 - a2) * ((1+a2)*(1+a2) - a1*a1))
	return &resonant{a1: a1, a2: a2, g: 1 / math.Sqrt(v)}
}

func (f *resonant) next(x float64) float64 {
	y := f.g*x - f.a1*f.y1 - f.a2*f.y2
	f.y2, f.y1 = f.y1, y
	return y
}

// hum is the mains with its harmonics, a lamp's buzz, and fans: broad noise that
// swells with the blades.
func (h *hall) hum() {
	mains := []float64{50, 60}[h.rng.IntN(2)]
	blades := h.between(3, 12)
	low, mid := resonator(h.between(120, 300), 200, h.rate), resonator(h.between(600, 1500), 1200, h.rate)
	fan, buzz := h.between(.012, .025), h.between(.01, .03)
	var gains [20]float64
	for k := range gains {
		gains[k] = buzz / float64(k+1) * h.spread(6)
	}
	for i := range h.direct {
		t := float64(i) / h.rate
		v := fan * (1 + .4*math.Sin(2*math.Pi*blades*t)) *
			(low.next(h.rng.NormFloat64()) + .5*mid.next(h.rng.NormFloat64()) + .12*h.rng.NormFloat64())
		for k, g := range gains {
			v += g * math.Sin(2*math.Pi*mains*float64(k+1)*t)
		}
		h.direct[i] += v
	}
}

// footsteps are dull thuds of the players' feet.
func (h *hall) footsteps(seconds float64) {
	for t := h.between(.2, 1); t < seconds-.2; t += h.between(.25, 1.4) {
		n := int(.08 * h.rate)
		out := make([]float64, n)
		thud, scuff := resonator(h.between(70, 160), 60, h.rate), resonator(h.between(800, 2500), 1500, h.rate)
		gain := h.between(.03, .15)
		for i := range out {
			x := float64(i) / h.rate
			out[i] = gain * min(1, x/.004) * math.Exp(-x/.018) *
				(thud.next(h.rng.NormFloat64()) + .15*scuff.next(h.rng.NormFloat64()))
		}
		h.note(t, "step")
		h.add(t, h.between(2, 5), out)
	}
}

// squeaks are rubber soles: a tone that slides, with harmonics, roughened by the
// sole sticking and slipping.
func (h *hall) squeaks(seconds float64) {
	for t := h.between(.2, .8); t < seconds-.3; t += h.between(.2, 1.8) {
		length := h.between(.05, .22)
		out := make([]float64, int(length*h.rate))
		from := h.between(1300, 4200)
		to := from * h.between(.8, 1.25)
		slip, gain, attack := h.between(70, 220), h.between(.1, .6), h.between(.002, .012)
		phase := 0.0
		for i := range out {
			x := float64(i) / h.rate
			phase += 2 * math.Pi * (from + (to-from)*x/length) / h.rate
			v := math.Sin(phase) + .5*math.Sin(2*phase) + .3*math.Sin(3*phase) + .05*h.rng.NormFloat64()
			rough := .6 + .4*math.Sin(2*math.Pi*slip*x)
			out[i] = gain * v * rough * min(1, x/attack) * min(1, (length-x)/.01)
		}
		h.note(t, "squeak")
		h.add(t, h.between(2, 5), out)
	}
}

// speech fills about this share of the time with talk: syllables of a stop or a
// hiss and a voiced vowel through four formants; every fourth phrase is shouted.
// Beside a stroke whose peak is 1 at a metre, talk has an effective value of
// about .03-.1 and a shout of .15-.4 (loud voices: common experience, no source).
func (h *hall) speech(seconds, share float64) {
	for t := h.between(0, 2); t < seconds-3; {
		shout := h.rng.Float64() < .25
		pitch, gain, distance := h.between(95, 240), h.between(.08, .25), h.between(2, 6)
		if shout {
			pitch, gain = h.between(250, 450), h.between(.4, .9)
		}
		from, n := t, 2+h.rng.IntN(10)
		if shout {
			n = 1 + h.rng.IntN(4) // shouts are short
		}
		for range n {
			s := h.syllable(pitch*h.between(.85, 1.2), gain)
			h.note(t, "syllable")
			h.add(t, distance, s)
			t += float64(len(s))/h.rate + h.between(0, .05)
		}
		t += (t - from) * (1/share - 1) * h.between(.5, 1.5)
	}
}

func (h *hall) syllable(pitch, gain float64) []float64 {
	var out []float64
	switch h.rng.IntN(3) {
	case 0: // a stop: silence, then a burst
		out = append(out, make([]float64, int(.04*h.rate))...)
		f := resonator(h.between(1200, 4500), 1800, h.rate)
		n, tau := int(.02*h.rate), h.between(.002, .006)
		for i := range n {
			x := float64(i) / h.rate
			out = append(out, .5*gain*min(1, x/.001)*math.Exp(-x/tau)*f.next(h.rng.NormFloat64()))
		}
	case 1: // a hiss
		f := resonator(h.between(4000, min(8000, .4*h.rate)), 2500, h.rate)
		n := int(h.between(.05, .12) * h.rate)
		for i := range n {
			x := float64(i) / float64(n)
			out = append(out, .3*gain*math.Sin(math.Pi*x)*f.next(h.rng.NormFloat64()))
		}
	}
	formants := []*resonant{
		resonator(h.between(280, 800), 90, h.rate), resonator(h.between(900, 2300), 120, h.rate),
		resonator(h.between(2300, 3000), 180, h.rate), resonator(h.between(3300, 4000), 250, h.rate),
	}
	n := int(h.between(.09, .2) * h.rate)
	attack := h.between(.012, .035)
	phase := 0.0
	for i := range n {
		x := float64(i) / h.rate
		phase += pitch * (1 + .02*math.Sin(2*math.Pi*5*x)) / h.rate
		pulse := 0.0
		if phase >= 1 {
			phase--
			pulse = math.Sqrt(h.rate / pitch) // same power at any pitch
		}
		v := 0.0
		for k, f := range formants {
			v += f.next(pulse+.02*h.rng.NormFloat64()) / float64(k+1)
		}
		end := (float64(n) - float64(i)) / h.rate
		out = append(out, gain*.35*v*min(1, x/attack)*min(1, end/.03))
	}
	return out
}
