package hall

import "math"

// logBetween draws so that every octave of the range is as likely as any other.
func (h *hall) logBetween(a, b float64) float64 {
	return math.Exp(h.between(math.Log(a), math.Log(b)))
}

// struck draws a thing that the ball strikes, whatever it is. Rubbers, sponges,
// blades, table tops and microphones differ so much that no published range was found
// to hold them: how many modes there are, how they lie and die away, what the ball
// itself adds and how loud it is come from our own ranges, without a source, and the
// same for rackets and tables.
func (h *hall) struck() body {
	hertz, gain := h.logBetween(420, 1000), 1.0
	b := body{ball: h.logBetween(.1, .4), loud: h.logBetween(.4, 1.1)}
	for range 2 + h.rng.IntN(3) {
		b.modes = append(b.modes, mode{hertz, gain, h.logBetween(.0013, .009)})
		hertz *= h.between(1.5, 2.8)
		gain = h.logBetween(.12, 1)
	}
	return b
}

// Of the ball's five tones in sound: the middle of their pitches and decays, and the
// sum of their mean squares.
const ballHertz, ballTau, ballPower = 10250, .0012, 1.1

// brightness is where the energy of the body's sound lies on average, in octaves
// above 1 Hz. A mode's energy is that of a decaying tone: gain squared times tau.
func (b body) brightness() float64 {
	energy := ballPower * b.ball * b.ball * ballTau
	moment := energy * ballHertz
	for _, m := range b.modes {
		e := m.gain * m.gain * m.tau
		energy += e
		moment += e * m.hertz
	}
	return math.Log2(moment / energy)
}

// raised is the body with its modes so many octaves higher, and the ball's own sound
// 6 dB an octave louder.
func (b body) raised(octaves float64) body {
	b.modes = append([]mode(nil), b.modes...)
	for i := range b.modes {
		b.modes[i].hertz *= math.Exp2(octaves)
	}
	b.ball *= math.Exp2(octaves)
	return b
}

// levelled is the body whose loud is its level, however many modes share it.
func (b body) levelled() body {
	b.modes = append([]mode(nil), b.modes...)
	power := ballPower * b.ball * b.ball
	for _, m := range b.modes {
		power += m.gain * m.gain
	}
	for i := range b.modes {
		b.modes[i].gain /= math.Sqrt(power)
	}
	b.ball /= math.Sqrt(power)
	return b
}

// asBright is the body raised or lowered until it has this brightness.
func (b body) asBright(brightness float64) body {
	lo, hi := -4.0, 4.0
	for range 40 {
		if mid := (lo + hi) / 2; b.raised(mid).brightness() < brightness {
			lo = mid
		} else {
			hi = mid
		}
	}
	return b.raised(lo)
}

// anyTable draws a table at which the rackets are brighter than the bounces by so
// many octaves, or duller where that is negative. At 0 they are alike: one sound,
// and levels within about 1 dB.
func (h *hall) anyTable(octaves float64) table {
	near := h.between(1.2, 4)
	t := h.table(near, near+h.between(.5, 3))
	wood := h.struck()
	made := [2]body{h.struck(), h.struck()}
	if octaves == 0 {
		for i := range made {
			made[i] = h.retuned(wood, .03)
			made[i].loud *= h.spread(1)
		}
	} else {
		middle := (made[0].brightness() + wood.brightness()) / 2
		wood = wood.asBright(middle - octaves/2)
		for i := range made {
			made[i] = made[i].asBright(middle + octaves/2)
		}
	}
	for i := range made {
		t.rackets[i] = made[i].levelled()
		t.halves[i] = h.retuned(wood, .03).levelled()
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
