package hall

import (
	"math"
)

// What sounds where nobody plays. Tempos, decays and levels are our own ranges
// without a source, where none is named.

// applause is an audience: each claps in his own time, in one bout of three with
// the others. About 4 claps a second each, our own range, no source.
func (h *hall) applause(seconds float64) {
	for t := h.between(.3, 2); t < seconds-1; t += h.between(1, 5) {
		length := min(seconds-.5-t, h.between(3, 18))
		together, step := h.rng.Float64() < .33, h.between(.2, .5)
		for range 6 + h.rng.IntN(50) {
			distance, pitch, gain := h.logBetween(2, 15), h.logBetween(500, 2600), h.between(.4, 1.2)
			own, jitter, at := 1/h.between(2.7, 5.5), .05, t+h.between(0, .8)
			if together {
				own, jitter, at = step, .02, t+.015*h.rng.NormFloat64()
			}
			for end := t + length*h.between(.7, 1); at < end; at += h.vary(own, jitter) {
				h.note(at, "clap")
				h.add(at, distance, h.clap(pitch*h.between(.9, 1.1), gain*h.spread(2)))
			}
		}
		t += length
	}
}

// clapping is one person's hands: bouts of a few claps or many, free or in time.
func (h *hall) clapping(seconds float64) {
	distance, pitch := h.between(1, 6), h.logBetween(500, 2600)
	for t := h.between(.3, 2); t < seconds-.5; t += h.between(.8, 5) {
		step, jitter := h.logBetween(.17, .8), h.logBetween(.005, .1)
		for range 2 + h.rng.IntN(30) {
			if t > seconds-.5 {
				break
			}
			h.note(t, "clap")
			h.add(t, distance, h.clap(pitch*h.between(.9, 1.1), h.between(.6, 1.1)))
			t += h.vary(step, jitter)
		}
	}
}

// tap sounds modes that begin at once and die away, beside noise that dies faster.
func (h *hall) tap(modes []mode, noise, gain float64) []float64 {
	longest := .004
	for _, m := range modes {
		longest = max(longest, m.tau)
	}
	out := make([]float64, int(7*longest*h.rate))
	attack, tau := h.logBetween(.0002, .0012), h.logBetween(.0006, .003)
	for _, m := range modes {
		if m.hertz > .45*h.rate {
			continue
		}
		for i := range out {
			t := float64(i) / h.rate
			out[i] += gain * m.gain * math.Exp(-t/m.tau) * math.Sin(2*math.Pi*m.hertz*t)
		}
	}
	for i := range out {
		t := float64(i) / h.rate
		if t < 8*tau {
			out[i] += gain * noise * math.Exp(-t/tau) * h.rng.NormFloat64()
		}
		out[i] *= min(1, t/attack)
	}
	return out
}

// hard draws a small hard thing that is struck.
func (h *hall) hard(lowest, highest, longest float64) []mode {
	var out []mode
	hertz := h.logBetween(lowest, highest)
	for range 2 + h.rng.IntN(3) {
		out = append(out, mode{hertz, h.logBetween(.15, 1), h.logBetween(longest/8, longest)})
		hertz *= h.between(1.4, 2.9)
	}
	return out
}

// metronome ticks at 40 to 208 beats a minute (the scale of the usual mechanical one,
// common knowledge): tick and tock of a clockwork, or the beeps of an electronic one.
func (h *hall) metronome(seconds float64) {
	beat := 60 / h.logBetween(40, 208)
	distance, accent := h.logBetween(.5, 5), []int{0, 2, 3, 4}[h.rng.IntN(4)]
	tick, tock := h.hard(700, 3500, .006), h.hard(700, 3500, .006)
	noise, jitter := h.logBetween(.02, .4), .01
	if h.rng.Float64() < .5 {
		pitch, tau := h.logBetween(700, 4000), h.logBetween(.004, .04)
		tick = []mode{{pitch, 1, tau}, {2 * pitch, .3, tau / 2}}
		tock, noise, jitter = tick, 0, 0
	}
	at := h.between(.1, beat)
	for i := 0; at < seconds-.2; i++ {
		modes, gain := tick, 1.
		if i%2 == 1 {
			modes = tock
		}
		if accent > 0 && i%accent == 0 {
			gain = 1.5
			modes = append([]mode(nil), modes...)
			for k := range modes {
				modes[k].hertz *= 1.5
			}
		}
		h.note(at, "tick")
		h.add(at, distance, h.tap(modes, noise, gain))
		at += beat * (1 + jitter*h.rng.NormFloat64())
	}
}

// xylophone plays melodies on bars tuned 1:3 or 1:4 (twelfth or double octave,
// usual in xylophones and marimbas; common knowledge, no source) with a third mode
// above, 349-2093 Hz.
func (h *hall) xylophone(seconds float64) {
	eighth, distance := 30/h.between(70, 170), h.between(1, 6)
	tuned, tau, mallet := []float64{3, 4}[h.rng.IntN(2)], h.logBetween(.03, .5), h.logBetween(.01, .3)
	scale := []int{0, 2, 4, 5, 7, 9, 11}
	note := h.rng.IntN(14)
	for t := h.between(.2, 1); t < seconds-.5; t += h.vary(eighth, .02) {
		if h.rng.Float64() < .25 {
			continue
		}
		note = max(0, min(20, note+h.rng.IntN(7)-3))
		hertz := 349.2 * math.Exp2(float64(note/7)+float64(scale[note%7])/12)
		h.note(t, "bar")
		h.add(t, distance, h.tap([]mode{
			{hertz, 1, tau}, {tuned * hertz, h.logBetween(.1, .5), tau / 4}, {2.2 * tuned * hertz, h.logBetween(.03, .2), tau / 10},
		}, mallet, h.between(.4, 1.1)))
	}
}

// typing is a keyboard near the microphone: bursts of 3 to 10 keys a second, each
// with its bottoming out and, softer, its release.
func (h *hall) typing(seconds float64) {
	key, space := h.hard(900, 4500, .004), h.hard(400, 1500, .008)
	distance, noise, release := h.logBetween(.3, 1.5), h.logBetween(.1, 1), h.logBetween(.2, .7)
	mean := 1 / h.between(3, 10)
	for t := h.between(.2, 1); t < seconds-.5; t += h.between(.3, 3) {
		for range 3 + h.rng.IntN(50) {
			if t > seconds-.5 {
				break
			}
			modes := key
			if h.rng.Float64() < .17 {
				modes = space
			}
			modes = h.retuned(body{modes: modes}, .08).modes
			gain, up := h.between(.4, 1.1), t+h.between(.05, .13)
			h.note(t, "key")
			h.add(t, distance, h.tap(modes, noise, gain))
			h.note(up, "key")
			h.add(up, distance, h.tap(modes, noise, gain*release))
			t += max(.04, mean*math.Exp(.45*h.rng.NormFloat64()))
		}
	}
}

// walkers are one to three people in hard or soft shoes: heel, then toes, at 1.6-2.3
// steps a second walking and 2.5-3.2 running.
func (h *hall) walkers(seconds float64) {
	for range 1 + h.rng.IntN(3) {
		step, toe := 1/h.between(1.6, 2.3), h.between(.06, .15)
		if h.rng.Float64() < .3 {
			step, toe = 1/h.between(2.5, 3.2), h.between(.02, .06)
		}
		heel, sole := h.hard(120, 1400, .015), h.hard(400, 2500, .008)
		noise, distance := h.logBetween(.02, .6), h.between(1, 6)
		for t := h.between(.1, 2); t < seconds-.5; t += h.vary(step, .04) {
			if h.rng.Float64() < .03 { // stands a while
				t += h.between(1, 5)
			}
			distance = max(1, min(8, distance+h.between(-.6, .6)))
			gain := h.between(.6, 1.1)
			h.note(t, "step")
			h.add(t, distance, h.tap(heel, noise, gain))
			h.add(t+toe*h.between(.9, 1.1), distance, h.tap(sole, noise, gain*h.between(.15, .6)))
		}
	}
}
