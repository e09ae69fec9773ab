// Package hall makes the sound of a training hall with the truth behind it: two
// players at a table, and round them what a hall adds. It exists to measure the
// detector of contacts where every contact is known.
//
// Everything is invented from a seed: same condition, seed, length and rate, same
// samples. Moments are seconds from the first sample, at which the direct sound
// reaches the microphone. Not a model of one hall: levels, decays and tempos are
// drawn from ranges, each named where it stands.
package hall

import (
	"math"
	"math/rand/v2"
	"sort"

	"strokeledger/internal/contact"
)

// Condition is one way in which a recording is hard.
type Condition string

const (
	Clean         Condition = "clean"
	Reverberation Condition = "reverberation"
	Hum           Condition = "hum and fans"
	Speech        Condition = "speech and shouting"
	Squeaks       Condition = "shoe squeaks"
	Neighbour     Condition = "neighbouring table"
	Dribbles      Condition = "dribbles before serving"
	Claps         Condition = "clapping"
	Phone         Condition = "clipped phone, automatic gain"
	OneSided      Condition = "near one player, AAC 64 kbit/s" // the encoding is up to the caller
)

// Conditions lists all ten.
func Conditions() []Condition {
	return []Condition{Clean, Reverberation, Hum, Speech, Squeaks, Neighbour, Dribbles, Claps, Phone, OneSided}
}

// Recording is what the microphone gave, and the truth.
type Recording struct {
	Samples []float32 // the only channel, or the left one
	Right   []float32 // nil in a recording of one channel
	Rate    int
	Truth   []contact.Contact // racket and bounce of the table that is filmed, in order of time
	Beside  []Beside          // every other sudden sound, in order of time
	Begun   []float64         // when each rally or series begins; not of a session
}

// Beside is a sound that is none of the truth's contacts.
type Beside struct {
	Seconds float64
	What    string // "floor", "net", "pat", "clap", "squeak", "syllable", "step", "other table", "again" (a missed ball bounces on), ...
}

// hall is the scene while it is being mixed.
type hall struct {
	rng     *rand.Rand
	rate    float64
	direct  []float64 // what reaches the microphone straight, scaled by distance
	diffuse []float64 // what feeds the room
	truth   []contact.Contact
	beside  []Beside
	begun   []float64

	second     []float64  // what reaches a second microphone straight, if there is one
	microphone microphone // how the sounds being added reach it
}

// Make records seconds of one condition at rate samples a second.
func Make(c Condition, seed int64, seconds float64, rate int) Recording {
	h, own := begin(c, seed, rate)
	var plays []strikes
	switch w, ok := widely(c); {
	case !ok:
		plays, h.begun = h.play(seconds)
	case w.nobody == nil:
		plays, h.begun = h.train(w.training, seconds)
	}
	return h.record(c, own, plays, seconds)
}

// begin sets up the scene of a condition with the table that is filmed.
func begin(c Condition, seed int64, rate int) (*hall, table) {
	// The condition is part of the seed, so that no two share a rally.
	var mixed uint64
	for _, b := range []byte(c) {
		mixed = mixed*131 + uint64(b)
	}
	h := &hall{rng: rand.New(rand.NewPCG(uint64(seed), mixed)), rate: float64(rate)}
	if w, ok := widely(c); ok {
		return h, h.anyTable(h.octaves(w))
	}
	own := h.table(h.between(2, 3), h.between(4, 5.5))
	if c == OneSided {
		own = h.table(h.between(.6, 1), h.between(3.2, 4.2))
	}
	return h, own
}

// record mixes what is played at the filmed table with what the condition adds.
func (h *hall) record(c Condition, own table, plays []strikes, seconds float64) Recording {
	if w, ok := widely(c); ok {
		return h.recordWide(w, own, plays, seconds)
	}
	h.silence(seconds)
	if c == Dribbles {
		plays = h.dribble(plays)
	}
	h.strike(own, plays, true)
	if c != Clean {
		h.footsteps(seconds)
	}

	answer := roomOf(1.2, 4.5)
	switch c {
	case Clean:
		answer = roomOf(.5, 9)
	case Reverberation:
		answer = roomOf(2.2, 2.5)
	case Hum:
		h.hum()
	case Speech:
		h.speech(seconds, .75)
	case Squeaks:
		h.squeaks(seconds)
		h.speech(seconds, .2)
	case Neighbour:
		other := h.table(h.between(7, 8.5), h.between(8.5, 10))
		played, _ := h.play(seconds)
		h.strike(other, played, false)
		h.speech(seconds, .2)
	case Claps:
		h.claps(seconds)
	case Phone:
		h.speech(seconds, .2)
	}
	out := answer.mix(h)
	h.hiss(out, -58)
	if c == Phone {
		out = phone(out, h.rate, h.between(2, 4))
	} else {
		level(out, h.between(.35, .9))
	}

	return h.recording(quantised(out, 16), nil)
}

// silence is the scene before anything sounds.
func (h *hall) silence(seconds float64) {
	n := int(seconds * h.rate)
	h.direct, h.diffuse = make([]float64, n), make([]float64, n)
}

// quantised rounds to so many bits.
func quantised(s []float64, bits int) []float32 {
	full := math.Exp2(float64(bits-1)) - 1
	out := make([]float32, len(s))
	for i, v := range s {
		out[i] = float32(math.Round(max(-1, min(1, v))*full) / full)
	}
	return out
}

func (h *hall) recording(samples, right []float32) Recording {
	r := Recording{Samples: samples, Right: right, Rate: int(h.rate), Truth: h.truth, Beside: h.beside, Begun: h.begun}
	sort.Slice(r.Truth, func(i, j int) bool { return r.Truth[i].Seconds < r.Truth[j].Seconds })
	sort.Slice(r.Beside, func(i, j int) bool { return r.Beside[i].Seconds < r.Beside[j].Seconds })
	return r
}

func (h *hall) between(a, b float64) float64 { return a + (b-a)*h.rng.Float64() }

// spread draws a factor whose level in decibels has this standard deviation.
func (h *hall) spread(db float64) float64 { return math.Pow(10, h.rng.NormFloat64()*db/20) }

// add mixes a sound into the scene: it begins at the moment at, made at distance
// metres from the microphone (1/r law; the room does not care how far).
func (h *hall) add(at, distance float64, sound []float64) {
	first := int(math.Round(at * h.rate))
	for i, v := range sound {
		if k := first + i; k >= 0 && k < len(h.direct) {
			h.direct[k] += v / distance
			h.diffuse[k] += v
		}
		if k := first + h.microphone.later + i; h.second != nil && k >= 0 && k < len(h.second) {
			h.second[k] += v / distance * h.microphone.gain
		}
	}
}

func (h *hall) note(at float64, what string) { h.beside = append(h.beside, Beside{at, what}) }

// level scales so that the loudest hundred-thousandth of the samples lies above
// peak.
func level(s []float64, peak float64) {
	top := make([]float64, 1+len(s)/100000) // the loudest so far, in falling order
	for _, v := range s {
		v = math.Abs(v)
		for i := len(top) - 1; i >= 0 && v > top[i]; i-- {
			if i < len(top)-1 {
				top[i+1] = top[i]
			}
			top[i] = v
		}
	}
	for i := range s {
		s[i] *= peak / top[len(top)-1]
	}
}

// hiss adds the noise of the microphone and the air: white, decibels below the
// loudest sample.
func (h *hall) hiss(s []float64, decibels float64) {
	top := 0.0
	for _, v := range s {
		top = max(top, math.Abs(v))
	}
	rms := top * math.Pow(10, decibels/20)
	for i := range s {
		s[i] += rms * h.rng.NormFloat64()
	}
}
