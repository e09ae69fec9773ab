package hall

import "math"

// music comes from a loudspeaker: drums in sixteenths of a bar that repeats, a bass
// and chords. Tempo, pattern, instruments and levels are drawn.
func (h *hall) music(seconds float64) {
	sixteenth, distance := 15/h.between(70, 175), h.between(2, 8)
	drums, chords := h.logBetween(.3, 1), h.logBetween(.05, .4)
	var kick, snare, hat [16]bool
	for i := range kick {
		kick[i] = i%8 == 0 || h.rng.Float64() < .12
		snare[i] = i%8 == 4 || h.rng.Float64() < .06
		hat[i] = i%2 == 0 || h.rng.Float64() < .2
	}
	skin, shells := h.between(170, 260), h.logBetween(.03, .12)
	strum, ring := h.logBetween(.002, .03), h.logBetween(.15, 1.2)
	roots := [4]float64{}
	for i := range roots {
		roots[i] = 65.4 * math.Exp2(float64(h.rng.IntN(12))/12)
	}
	for i, t := 0, h.between(0, .5); t < seconds-.5; i, t = i+1, t+sixteenth {
		at := t + .003*h.rng.NormFloat64()
		if kick[i%16] {
			h.note(at, "drum")
			h.add(at, distance, h.kick(drums))
		}
		if snare[i%16] {
			h.note(at, "drum")
			h.add(at, distance, h.tap([]mode{{skin, 1, shells}, {1.6 * skin, .5, shells / 2}}, 0, .5*drums))
			h.add(at, distance, h.rattle(shells, h.between(1500, 4000), .6*drums))
		}
		if hat[i%16] {
			h.note(at, "drum")
			h.add(at, distance, h.rattle(h.logBetween(.008, .05), min(.4*h.rate, 9000), .35*drums*h.spread(2)))
		}
		if i%8 == 0 {
			root := roots[i/16%4]
			h.note(at, "chord")
			h.add(at, distance, h.chord(root, strum, ring, chords))
		}
	}
}

// kick is a drum whose pitch falls, with the beater's click.
func (h *hall) kick(gain float64) []float64 {
	out := make([]float64, int(.35*h.rate))
	phase, click := 0.0, h.between(.05, .4)
	for i := range out {
		t := float64(i) / h.rate
		phase += 2 * math.Pi * (48 + 110*math.Exp(-t/.02)) / h.rate
		out[i] = gain * min(1, t/.001) * (math.Exp(-t/.09)*math.Sin(phase) + click*math.Exp(-t/.002)*h.rng.NormFloat64())
	}
	return out
}

// rattle is noise round a pitch that dies away: snares and cymbals.
func (h *hall) rattle(tau, hertz, gain float64) []float64 {
	out := make([]float64, int(6*tau*h.rate))
	f := resonator(hertz, 4500, h.rate)
	for i := range out {
		t := float64(i) / h.rate
		out[i] = gain * min(1, t/.0005) * math.Exp(-t/tau) * f.next(h.rng.NormFloat64())
	}
	return out
}

// chord is a bass note and a major or minor triad above it, plucked or bowed in.
func (h *hall) chord(root, attack, tau, gain float64) []float64 {
	out := make([]float64, int(min(2, 4*tau)*h.rate))
	third := []float64{3, 4}[h.rng.IntN(2)]
	for _, semitones := range []float64{0, 12, 12 + third, 19, 24} {
		base, bright := root*math.Exp2(semitones/12), h.between(1, 2)
		for k := 1.; k <= 8; k++ {
			if k*base > .45*h.rate {
				break
			}
			own := tau / math.Sqrt(k)
			step, amplitude, phase := 2*math.Pi*k*base/h.rate, gain/math.Pow(k, bright), h.between(0, 2*math.Pi)
			for i := range out {
				t := float64(i) / h.rate
				out[i] += amplitude * math.Exp(-t/own) * math.Sin(step*float64(i)+phase)
			}
		}
	}
	for i := range out {
		out[i] *= min(1, float64(i)/h.rate/attack, float64(len(out)-i)/h.rate/.02)
	}
	return out
}
