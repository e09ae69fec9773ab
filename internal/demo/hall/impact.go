package hall

import (
	"math"

	"strokeledger/internal/contact"
)

// mode is one decaying tone of a struck body.
type mode struct{ hertz, gain, tau float64 } // tau: seconds to 1/e

// body is a thing that the ball strikes. Two modes dominate a racket's sound,
// the ball itself radiates at 8.5-12 kHz (Russell DA (2018), J Sports Sci
// 36(23):2644-2652, abstract; no frequencies of modes could be read, so they are
// drawn from ranges of our own). Decays of 3-15 ms to -20 dB are our assumption
// as well: tau = decay / ln 10.
type body struct {
	modes []mode
	ball  float64 // gain of the ball's own sound
	loud  float64
}

// table is two rackets on two sides of one table.
type table struct {
	rackets, halves  [2]body // near, far
	ground, netting  body
	distance, middle [2]float64 // to the racket, to the half, metres
}

func (h *hall) table(near, far float64) table {
	t := table{
		rackets: [2]body{h.racket(), h.racket()},
		ground: body{modes: []mode{
			{h.between(110, 220), 1, .012}, {h.between(280, 480), .6, .008}, {h.between(900, 1500), .12, .003},
		}, ball: .1, loud: .4},
		netting: body{modes: []mode{{h.between(150, 300), .6, .02}, {h.between(500, 800), .2, .008}}, ball: .02, loud: .25},
	}
	wood := body{modes: []mode{
		{h.between(330, 520), 1, h.between(.004, .0065)},
		{h.between(850, 1350), .75, h.between(.003, .005)},
		{h.between(1700, 2400), .22, .002},
	}, ball: h.between(.10, .2), loud: h.between(.45, .65)}
	t.halves = [2]body{wood, wood} // one make of table
	for i := range t.halves[1].modes {
		t.halves[1].modes = append([]mode(nil), t.halves[1].modes...)
		t.halves[1].modes[i].hertz *= h.between(.96, 1.04)
	}
	t.distance = [2]float64{near, far}
	// A half's middle is 1.4 m in front of its player: between the two.
	t.middle = [2]float64{near + (far-near)*.25, near + (far-near)*.7}
	return t
}

// racket draws a racket: a blade with its rubbers, which lower and damp.
func (h *hall) racket() body {
	return body{modes: []mode{
		{h.between(750, 1500), h.between(.35, .8), h.between(.0022, .004)},
		{h.between(2400, 4600), h.between(.5, 1), h.between(.0015, .003)},
		{h.between(5200, 7200), h.between(.1, .35), .0012},
	}, ball: h.between(.3, .5), loud: h.between(.8, 1.1)}
}

// sound is one meeting with the body: each hit lies on another spot, so its
// modes vary by 3 dB and 2 %.
func (h *hall) sound(b body, force float64) []float64 {
	longest := 0.0
	modes := make([]mode, 0, len(b.modes)+5)
	for _, m := range b.modes {
		m.hertz *= 1 + .02*h.rng.NormFloat64()
		m.gain *= h.spread(3)
		modes = append(modes, m)
		longest = max(longest, m.tau)
	}
	shell := b.ball * h.spread(2.5) * math.Pow(force, .5) // harder hits snap more
	for range 5 {
		modes = append(modes, mode{h.between(8500, 12000), shell * h.between(.2, .7), h.between(.0008, .0016)})
	}
	// Ball and racket touch for 1.3-1.8 ms (Gossard T et al. (2024), arXiv
	// 2409.11760, from a second source): the sound rises over half of that.
	rise := h.between(.0006, .0009)
	gain := b.loud * force * h.spread(2.5)
	out := make([]float64, int(8*longest*h.rate))
	for _, m := range modes {
		if m.hertz > .45*h.rate {
			continue
		}
		phase := h.between(0, 2*math.Pi)
		for i := range out {
			t := float64(i) / h.rate
			out[i] += gain * m.gain * math.Exp(-t/m.tau) * math.Sin(2*math.Pi*m.hertz*t+phase)
		}
	}
	for i := range out {
		t := float64(i) / h.rate
		if t >= rise {
			break
		}
		out[i] *= math.Pow(math.Sin(math.Pi/2*t/rise), 2)
	}
	return out
}

// strike sounds what is played at a table; only the filmed one has a truth.
func (h *hall) strike(t table, plays []strikes, filmed bool) {
	for _, p := range plays {
		of, who := side(p.near), contact.Far
		if p.near {
			who = contact.Near
		}
		b, distance, kind := t.rackets[of], t.distance[of], contact.Racket
		switch p.what {
		case bounce, palm, on:
			b, distance, kind = t.halves[of], t.middle[of], contact.Bounce
		case floor:
			b, distance, kind = t.ground, t.distance[of]+1, contact.Other
		case net:
			b, distance, kind = t.netting, (t.distance[0]+t.distance[1])/2, contact.Other
		}
		h.add(p.at, distance*h.spread(.4), h.sound(b, p.force))
		switch {
		case !filmed:
			h.note(p.at, "other table")
		case p.what == palm:
			h.note(p.at, "pat")
		case p.what == on:
			h.note(p.at, "again")
		case p.what == floor:
			h.note(p.at, "floor")
		case p.what == net:
			h.note(p.at, "net")
		default:
			h.truth = append(h.truth, contact.Contact{Seconds: p.at, Kind: kind, Who: who, Strength: 1, Confidence: 1})
		}
	}
}

// claps are hands: a burst of noise round 1-3 kHz, as sudden as a ball. Single
// ones, rhythmic ones and applause of several people, during play as well.
func (h *hall) claps(seconds float64) {
	for t := h.between(.5, 2); t < seconds-1; t += h.between(1.5, 5) {
		people, step := 1, h.between(.22, .5)
		if h.rng.Float64() < .35 {
			people = 2 + h.rng.IntN(3)
		}
		n := 2 + h.rng.IntN(7)
		for range people {
			distance, pitch := h.between(2.5, 6), h.between(1000, 2600)
			own := step * h.between(.93, 1.07)
			at := t + h.between(0, .2)
			for range n {
				h.note(at, "clap")
				h.add(at, distance, h.clap(pitch*h.between(.9, 1.1), h.between(.5, 1.1)))
				at += h.vary(own, .06)
			}
		}
		t += float64(n) * step
	}
}

func (h *hall) clap(pitch, gain float64) []float64 {
	out := make([]float64, int(.04*h.rate))
	f := resonator(pitch, pitch*.9, h.rate)
	tau := h.between(.003, .007)
	for i := range out {
		t := float64(i) / h.rate
		rise := min(1, t/.0006)
		out[i] = gain * rise * math.Exp(-t/tau) * (f.next(h.rng.NormFloat64()) + .08*h.rng.NormFloat64())
	}
	return out
}
