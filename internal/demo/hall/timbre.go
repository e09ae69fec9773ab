package hall

import "math"

// logBetween draws so that every octave of the range is as likely as any other.
func (h *hall) logBetween(a, b float64) float64 {
	return math.Exp(h.between(math.Log(a), math.Log(b)))
}

// struck draws a thing that the ball strikes, whatever it is: octaves raises its
// modes against the middle of the range, and its share of the ball's own sound by
// 6 dB an octave. How many modes there are, how they lie, how they die away and how
// loud it is do not depend on octaves. Rubbers, sponges, blades, table tops and
// microphones differ so much that no published range was found to hold them: all
// ranges are our own, without a source, and the same for rackets and tables.
func (h *hall) struck(octaves float64) body {
	hertz := h.logBetween(420, 1000) * math.Exp2(octaves)
	b := body{ball: h.logBetween(.1, .4) * math.Exp2(octaves), loud: h.logBetween(.4, 1.1)}
	gain := 1.0
	for range 2 + h.rng.IntN(3) {
		b.modes = append(b.modes, mode{hertz, gain, h.logBetween(.0013, .009)})
		hertz *= h.between(1.5, 2.8)
		gain = h.logBetween(.12, 1)
	}
	// Loud is then the level, however many modes share it: of the ball's five tones
	// in sound, each has a mean square of .22.
	power := 1.1 * b.ball * b.ball
	for _, m := range b.modes {
		power += m.gain * m.gain
	}
	for i := range b.modes {
		b.modes[i].gain /= math.Sqrt(power)
	}
	b.ball /= math.Sqrt(power)
	return b
}

// anyTable draws a table at which the rackets are brighter than the bounces by so
// many octaves, or duller where that is negative. At 0 they are alike: one sound,
// and levels within about 1 dB.
func (h *hall) anyTable(octaves float64) table {
	near := h.between(1.2, 4)
	t := h.table(near, near+h.between(.5, 3))
	wood := h.struck(-octaves / 2)
	for i := range t.halves {
		t.halves[i] = h.retuned(wood, .03)
		if octaves == 0 {
			t.rackets[i] = h.retuned(wood, .03)
			t.rackets[i].loud *= h.spread(1)
		} else {
			t.rackets[i] = h.struck(octaves / 2)
		}
	}
	return t
}

// retuned is another specimen of the same make.
func (h *hall) retuned(b body, relative float64) body {
	b.modes = append([]mode(nil), b.modes...)
	for i := range b.modes {
		b.modes[i].hertz *= 1 + h.between(-relative, relative)
	}
	return b
}

// arrives is the table's level at the microphone: the geometric mean of what comes
// straight from its rackets and halves.
func (t table) arrives() float64 {
	level := 1.0
	for i := range t.rackets {
		level *= t.rackets[i].loud / t.distance[i] * t.halves[i].loud / t.middle[i]
	}
	return math.Pow(level, .25)
}

// otherTable draws a table of which less arrives than of own, by this many decibels.
// It stands about as far away as that asks for (1/r law), nearer and played more
// softly or farther and louder: the room does not weaken it, so how much of the room
// is in its sound is drawn as well.
func (h *hall) otherTable(own table, decibels float64) table {
	weaker := math.Pow(10, -decibels/20)
	t := h.anyTable(h.anyOctaves())
	away := math.Sqrt(own.distance[0]*own.distance[1]) / weaker * h.between(.7, 1.3)
	for i := range t.distance {
		t.distance[i] = away * h.between(.85, 1.15)
	}
	for i := range t.middle {
		t.middle[i] = (t.distance[0] + t.distance[1]) / 2 * h.between(.95, 1.05)
	}
	louder := weaker * own.arrives() / t.arrives()
	for i := range t.rackets {
		t.rackets[i].loud *= louder
		t.halves[i].loud *= louder
	}
	t.ground.loud *= louder
	t.netting.loud *= louder
	return t
}

// anyOctaves draws from much duller to much brighter; one in five is alike.
func (h *hall) anyOctaves() float64 {
	if h.rng.Float64() < .2 {
		return 0
	}
	return h.between(-1.5, 1.5)
}
