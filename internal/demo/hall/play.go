package hall

import "sort"

// what names the surface that the ball meets.
type what int

const (
	racket what = iota
	bounce
	floor
	net
	palm // a ball patted on the table by hand: sounds like any bounce
	on   // a ball that nobody reached bounces on: sounds like any bounce
)

// strikes is one meeting of the ball.
type strikes struct {
	at    float64
	what  what
	near  bool
	force float64 // 1 is usual
}

// tempo is how two players play. Two contacts of rackets come about 0.64 s apart
// at 1.57 strokes a second (elite women, IJPAS 2022 22(1):174-182); drills are
// slower and counter-hitting is faster, so 0.42-0.62 s here.
type tempo struct {
	flight, rise [2]float64 // racket to bounce, bounce to racket, by who strikes: near, far
	jitter       float64    // relative
}

// even is one tempo for both sides.
func even(flight, rise float64) tempo {
	return tempo{flight: [2]float64{flight, flight}, rise: [2]float64{rise, rise}}
}

// times makes a tempo slower by a factor.
func (v tempo) times(factor float64) tempo {
	for i := range v.flight {
		v.flight[i], v.rise[i] = v.flight[i]*factor, v.rise[i]*factor
	}
	return v
}

func side(near bool) int {
	if near {
		return 0
	}
	return 1
}

// play fills the time with what is played in training: rallies with a serve,
// balls fed by hand, a feeding machine. It tells when each of them begins.
func (h *hall) play(seconds float64) (all []strikes, begun []float64) {
	speed := even(h.between(.25, .36), h.between(.15, .26))
	for t := h.between(.4, 1.2); t < seconds-2; {
		v := speed.times(h.between(.9, 1.12))
		v.jitter = h.between(.05, .16) // regular to irregular
		var part []strikes
		switch p := h.rng.Float64(); {
		case p < .72:
			part = h.rally(t, v)
		case p < .88:
			part = h.feed(t, v, true)
		default:
			part = h.feed(t, v, false)
		}
		begun = append(begun, t)
		all = append(all, part...)
		t = part[len(part)-1].at + h.between(1.2, 3.5)
	}
	return inOrder(all, seconds), begun
}

// inOrder puts what is played in order of time and cuts it off before the end.
func inOrder(all []strikes, seconds float64) []strikes {
	sort.SliceStable(all, func(i, j int) bool { return all[i].at < all[j].at })
	// Two contacts that fall together nobody could tell apart.
	const apart = .06
	for i := 1; i < len(all); i++ {
		if all[i].at < all[i-1].at+apart {
			all[i].at = all[i-1].at + apart
		}
	}
	for len(all) > 0 && all[len(all)-1].at > seconds-.2 {
		all = all[:len(all)-1]
	}
	return all
}

func (h *hall) vary(v, jitter float64) float64 {
	return max(.06, v*(1+jitter*max(-2.5, min(2.5, h.rng.NormFloat64()))))
}

// rally is one ball from the serve to its end: missed, netted, or not reached.
func (h *hall) rally(t float64, v tempo) []strikes {
	near := h.rng.Float64() < .5
	out := []strikes{{t, racket, near, .6}}
	t += h.between(.08, .17) // a serve bounces on the server's own half first
	out = append(out, strikes{t, bounce, near, .8})
	t += h.between(.22, .38)
	out = append(out, strikes{t, bounce, !near, .8})
	n := 2 + int(min(22, h.rng.ExpFloat64()*8))
	for i := range n {
		near = !near
		t += h.vary(v.rise[side(near)], v.jitter)
		out = append(out, strikes{t, racket, near, 1})
		if i == n-1 {
			break
		}
		t += h.vary(v.flight[side(near)], v.jitter)
		out = append(out, strikes{t, bounce, !near, 1})
	}
	switch h.rng.IntN(3) {
	case 0: // into the net
		t += h.between(.12, .2)
		out = append(out, strikes{t, net, near, 1})
	case 1: // lands, and nobody gets there
		t += h.vary(v.flight[side(near)], v.jitter)
		out = append(out, strikes{t, bounce, !near, 1})
		out = append(out, h.roll(t+h.between(.4, .7), !near)...)
	default: // past the table
		out = append(out, h.roll(t+h.between(.55, .9), !near)...)
	}
	return out
}

// roll is a ball jumping out on the floor; each jump keeps .75 of the last one's
// time (a wooden floor gives less back than a table, on which it is .876: TT4,
// 23 cm from 30 cm).
func (h *hall) roll(t float64, near bool) []strikes {
	var out []strikes
	step, force := h.between(.35, .5), h.between(.5, .9)
	for range 2 + h.rng.IntN(4) {
		out = append(out, strikes{t, floor, near, force})
		t += step
		step *= .75
		force *= .7
	}
	return out
}

// feed is a series of balls played to the near player one after the other, by
// the other player out of the hand (whose racket is heard) or by a machine.
func (h *hall) feed(t float64, v tempo, hand bool) []strikes {
	var out []strikes
	period := h.between(.78, 1.1)
	first := h.rng.Float64() < .25 // the feeder bounces it on his own half
	for range 7 + h.rng.IntN(12) {
		at := t
		if hand {
			out = append(out, strikes{at, racket, false, .55})
			if first {
				out = append(out, strikes{at + h.between(.09, .14), bounce, false, .7})
				at += .06
			}
		}
		at += h.vary(v.flight[1], .08)
		out = append(out, strikes{at, bounce, true, .9})
		at += h.vary(v.rise[0], v.jitter)
		out = append(out, strikes{at, racket, true, 1.1})
		lands := at + h.vary(v.flight[0]*.9, v.jitter)
		if h.rng.Float64() < .88 {
			out = append(out, strikes{lands, bounce, false, 1.1})
		}
		t += h.vary(period, .05)
		if t > lands-.1 && t < lands+.1 {
			t = lands + h.between(.1, .2) // the feeder lets the last ball land
		}
	}
	return out
}

// dribble puts balls patted on the table, or on the racket, before the serves.
func (h *hall) dribble(play []strikes) []strikes {
	out := append([]strikes(nil), play...)
	for i := range play {
		pause := play[i].at
		if i > 0 {
			pause -= play[i-1].at
		}
		if play[i].what != racket || pause < 1.1 {
			continue
		}
		step := h.between(.28, .5)
		surface := []what{palm, palm, floor}[h.rng.IntN(3)]
		t := play[i].at - h.between(.45, .8)
		for range 3 + h.rng.IntN(5) {
			if i > 0 && t < play[i-1].at+.3 || t < .1 {
				break
			}
			out = append(out, strikes{t, surface, play[i].near, h.between(.35, .6)})
			t -= h.vary(step, .06)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at < out[j].at })
	return out
}
