package hall

import "math"

// voice is one person who talks: a coach beside the camera, or people in the hall.
type voice struct {
	pitch, tract       float64 // hertz; of the formants against a grown man's
	rate               float64 // syllables a second: 3-7, common knowledge of phonetics, no source
	crisp              float64 // how loud stops are against vowels
	gain, distance     float64
	longest, breathing float64 // seconds of a phrase and between two
}

func (h *hall) voice() voice {
	return voice{
		pitch: h.logBetween(85, 320), tract: h.between(.95, 1.3), rate: h.between(3, 7),
		crisp: h.logBetween(.15, 1.5), gain: h.logBetween(.1, .6), distance: h.logBetween(.4, 4),
		longest: h.between(1.5, 6), breathing: h.between(.15, 1.5),
	}
}

// talkers are one to three people, each through all of the time.
func (h *hall) talkers(seconds float64) {
	for range 1 + h.rng.IntN(3) {
		h.says(h.voice(), 0, seconds)
	}
}

// talkBetween is a coach who talks while nobody plays.
func (h *hall) talkBetween(plays []strikes, seconds float64) {
	v := h.voice()
	from := 0.0
	for i := 0; i <= len(plays); i++ {
		to := seconds
		if i < len(plays) {
			to = plays[i].at
		}
		if to-from > 1.5 {
			h.says(v, from+.15, to-.3)
		}
		from = to
	}
}

// says fills a time with phrases.
func (h *hall) says(v voice, from, to float64) {
	for t := from + h.between(0, v.breathing); t < to; t += v.breathing * h.between(.5, 2) {
		stressed := v.pitch * h.between(.9, 1.3)
		for end := min(to, t+v.longest*h.between(.3, 1)); t < end; {
			s := h.spoken(v, stressed*h.between(.85, 1.15), v.gain*h.spread(3))
			if t+float64(len(s))/h.rate > to {
				return
			}
			h.note(t, "syllable")
			h.add(t, v.distance, s)
			t += float64(len(s)) / h.rate
		}
	}
}

// spoken is one syllable: a consonant or none, a vowel whose formants glide, a
// consonant or none. Formants of 270-850, 850-2300 and 2000-3000 Hz (Peterson GE,
// Barney HL (1952), J Acoust Soc Am 24:175-184, table II: men 270-730, 840-2290 and
// up to 3010, women's first up to 860).
func (h *hall) spoken(v voice, pitch, gain float64) []float64 {
	out := h.consonant(v, gain)
	length := h.between(.4, .9) / v.rate
	bank := func() [4]*resonant {
		return [4]*resonant{
			resonator(v.tract*h.between(270, 850), 80, h.rate), resonator(v.tract*h.between(850, 2300), 110, h.rate),
			resonator(v.tract*h.between(2000, 3000), 160, h.rate), resonator(v.tract*h.between(3300, 4200), 250, h.rate),
		}
	}
	a, b := bank(), bank()
	n := int(length * h.rate)
	attack, release := h.logBetween(.003, .04), h.logBetween(.01, .06)
	phase, breath := 1.0, h.between(.01, .08)
	for i := range n {
		x := float64(i) / float64(n)
		phase += pitch * (1.05 - .1*x) / h.rate
		pulse := 0.0
		if phase >= 1 {
			phase--
			pulse = math.Sqrt(h.rate / pitch)
		}
		pulse += breath * h.rng.NormFloat64()
		s := 0.0
		for k := range a {
			s += ((1-x)*a[k].next(pulse) + x*b[k].next(pulse)) / float64(k+1)
		}
		out = append(out, .4*gain*s*min(1, float64(i)/h.rate/attack)*min(1, float64(n-i)/h.rate/release))
	}
	if h.rng.Float64() < .4 {
		out = append(out, h.consonant(v, .6*gain)...)
	}
	return out
}

// consonant is a stop (a gap, then a burst, and breath after some), an affricate (a
// gap, then a hiss that begins at once), a fricative, or none.
func (h *hall) consonant(v voice, gain float64) []float64 {
	var out []float64
	kind := h.rng.IntN(4)
	if kind < 2 {
		out = make([]float64, int(h.between(.25, .5)/v.rate*h.rate/2))
	}
	highest := .4 * h.rate
	switch kind {
	case 0: // p, t, k
		f := resonator(min(highest, h.logBetween(500, 6000)), h.between(600, 3000), h.rate)
		tau, loud := h.logBetween(.001, .01), v.crisp*gain*h.spread(4)
		breath, length := h.between(0, .3), h.between(.01, .07)
		for i := range int(length * h.rate) {
			x := float64(i) / h.rate
			out = append(out, loud*min(1, x/.0005)*(math.Exp(-x/tau)+breath*(1-x/length))*f.next(h.rng.NormFloat64()))
		}
	case 1, 2: // ch, s, f
		f := resonator(min(highest, h.logBetween(2200, 8000)), h.between(1200, 4000), h.rate)
		n := int(h.between(.05, .14) * h.rate)
		attack := .02
		if kind == 1 {
			attack = .002
		}
		for i := range n {
			x, left := float64(i)/h.rate, float64(n-i)/h.rate
			out = append(out, .35*v.crisp*gain*min(1, x/attack, left/.02)*f.next(h.rng.NormFloat64()))
		}
	}
	return out
}
