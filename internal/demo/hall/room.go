package hall

import "math"

// room is how the hall answers.
type room struct {
	decay   float64 // seconds to -60 dB
	balance float64 // metres at which the room is as loud as the direct sound
	stretch float64 // of the delays: another place in the same room answers otherwise
}

func roomOf(decay, balance float64) room { return room{decay, balance, 1} }

// reverb is a feedback delay network: eight lines, mixed by a Householder
// reflection so that no energy is lost but by the lines' own gains, each with a
// one-pole low-pass, as air and walls swallow the highs.
type reverb struct {
	lines [8][]float64
	at    [8]int
	gain  [8]float64
	held  [8]float64
}

func (r room) network(rate float64) *reverb {
	n := &reverb{}
	for i, ms := range []float64{29.9, 33.4, 38.9, 42.8, 46.9, 50.0, 54.5, 58.3} {
		ms *= r.stretch
		n.lines[i] = make([]float64, int(ms/1000*rate)|1)
		n.gain[i] = math.Pow(10, -3*ms/1000/r.decay)
	}
	return n
}

func (n *reverb) next(x float64) float64 {
	var out [8]float64
	sum := 0.0
	for i := range out {
		v := n.lines[i][n.at[i]]
		n.held[i] += .72 * (v - n.held[i])
		out[i] = n.held[i] * n.gain[i]
		sum += out[i]
	}
	y := 0.0
	for i := range out {
		n.lines[i][n.at[i]] = x + out[i] - sum/4
		if n.at[i]++; n.at[i] == len(n.lines[i]) {
			n.at[i] = 0
		}
		y += out[i] * [8]float64{1, -1, 1, 1, -1, 1, -1, -1}[i]
	}
	return y
}

// mix is the direct sound, a few early echoes from floor, wall and ceiling, and
// the room. The room's energy equals the direct sound's at the balance distance.
func (r room) mix(h *hall) []float64 {
	m := r.mixer(h)
	out := make([]float64, len(h.direct))
	for i := range out {
		out[i] = m.next(h.direct[i], h.diffuse[i])
	}
	return out
}

// mixer is mix sample by sample.
type mixer struct {
	network *reverb
	scale   float64
	echoes  [5]echo
	before  []float64 // what fed the room, round and round
	at      int
}

type echo struct {
	delay int
	gain  float64
}

func (r room) mixer(h *hall) *mixer {
	n := r.network(h.rate)
	energy := 0.0
	for i := range int(r.decay * h.rate) {
		x := 0.0
		if i == 0 {
			x = 1
		}
		y := n.next(x)
		energy += y * y
	}
	m := &mixer{network: r.network(h.rate), scale: 1 / (r.balance * math.Sqrt(energy)), before: make([]float64, int(.03*h.rate)+1)}
	for k := range m.echoes {
		d := h.between(.003, .03)
		g := h.between(.15, .4) * (.01 / (.01 + d)) * 4.5 / r.balance
		if h.rng.IntN(2) == 0 {
			g = -g
		}
		m.echoes[k] = echo{int(d * h.rate), g / 3}
	}
	return m
}

func (m *mixer) next(direct, diffuse float64) float64 {
	m.before[m.at] = diffuse
	v := direct + m.scale*m.network.next(diffuse)
	for _, e := range m.echoes {
		v += e.gain * m.before[(m.at-e.delay+len(m.before))%len(m.before)]
	}
	if m.at++; m.at == len(m.before) {
		m.at = 0
	}
	return v
}

// phone is the microphone of a telephone: an automatic gain that falls in
// milliseconds and climbs back in half a second, set so hot (over is the factor)
// that strokes clip hard, and no bass.
func phone(s []float64, rate, over float64) []float64 {
	level(s, 1)
	out := make([]float64, len(s))
	attack, release := 1-math.Exp(-1/(.004*rate)), 1-math.Exp(-1/(.5*rate))
	high := 1 - math.Exp(-2*math.Pi*160/rate)
	envelope, bass := .1, 0.0
	for i, v := range s {
		bass += high * (v - bass)
		v -= bass
		if a := math.Abs(v); a > envelope {
			envelope += attack * (a - envelope)
		} else {
			envelope += release * (a - envelope)
		}
		gain := .35 * over / max(envelope, .08)
		out[i] = max(-.98, min(.98, v*min(gain, 10)))
	}
	return out
}
