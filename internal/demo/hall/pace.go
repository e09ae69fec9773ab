package hall

// A table's length, ITTF laws of table tennis, 2.1.1.
const tableLength = 2.74 // metres

// pace draws how fast the ball goes to and fro, from where the players stand, how
// hard they hit and how deep the ball bounces. One clip in eight has a defender far
// behind the table: the ball then takes longer from the bounce to his racket than
// from the other racket to the bounce. Places, speeds (means over the way, air drag
// included) and what a bounce keeps of them (spin) are our own ranges, no source.
func (h *hall) pace() tempo {
	behind := [2]float64{h.between(.1, .9), h.between(.1, .9)}
	if h.rng.Float64() < .125 {
		behind[h.rng.IntN(2)] = h.between(1.5, 3)
	}
	speed := [2]float64{h.between(5, 9.5), h.between(5, 9.5)} // metres a second
	var v tempo
	for i := range 2 {
		depth := h.between(.15, .9) // from the end line that the ball flies to
		v.flight[i] = (behind[i] + tableLength - depth) / speed[i]
		v.rise[1-i] = max(.09, (depth+behind[1-i])/(speed[i]*h.between(.6, .95)))
	}
	return v
}

// training is what is played in a wide hall: whether rallies are short, and how long
// the balls are fetched.
type training struct {
	short  bool
	pauses [2]float64 // seconds
}

// train fills the time with rallies, balls fed by hand and a feeding machine, every
// share drawn. Strokes and serves are soft to hard. It tells when each of them begins.
func (h *hall) train(k training, seconds float64) (all []strikes, begun []float64) {
	pace := h.pace()
	rallies, hand := h.between(.3, 1), h.between(.2, 1)
	for t := h.between(.4, 1.2); t < seconds-2; {
		v := pace.times(h.between(.9, 1.12))
		v.jitter = h.between(.03, .18)
		var part []strikes
		switch {
		case h.rng.Float64() < rallies:
			part = h.rally(t, v)
			if k.short {
				part = part[:min(len(part), 4+h.rng.IntN(5))]
			}
		default:
			part = h.feed(t, v, h.rng.Float64() < hand)
			if k.short {
				part = part[:min(len(part), 6+h.rng.IntN(8))]
			}
		}
		part = h.again(part)
		h.force(part)
		begun = append(begun, t)
		all = append(all, part...)
		t = part[len(part)-1].at + h.between(k.pauses[0], k.pauses[1])
	}
	return inOrder(all, seconds), begun
}

// force makes strokes and bounces softer and harder, and the first stroke of a part
// most of all: a very soft serve, or a hard one.
func (h *hall) force(part []strikes) {
	first := true
	for i, p := range part {
		switch {
		case p.what == racket && first:
			part[i].force = h.logBetween(.2, 1.2)
			first = false
		case p.what == racket || p.what == bounce:
			part[i].force *= h.between(.65, 1.35)
		}
	}
}

// again lets the last ball of one part in three that ends on the table bounce on
// there, in steps that shrink to .876 (TT4 of the ITTF: 23 cm from 30 cm), before it
// falls off.
func (h *hall) again(part []strikes) []strikes {
	n := len(part)
	for n > 0 && part[n-1].what == floor {
		n--
	}
	if n == 0 || part[n-1].what != bounce || h.rng.Float64() > 1./3 {
		return part
	}
	last := part[n-1]
	part = part[:n]
	step, force := h.between(.2, .4), last.force
	for range 1 + h.rng.IntN(4) {
		last.at += step
		step *= .876
		force *= .85
		part = append(part, strikes{last.at, on, last.near, force})
	}
	return part
}
