package hall

import (
	"math"
	"math/rand/v2"
	"sort"
)

// PairOptions says what two microphones record in one hall.
type PairOptions struct {
	Hall    int64   // seed of what stands in the hall: table, rackets, microphones, rooms
	Play    int64   // seed of what happens in it
	Seconds float64 // length of each recording
	// Period, where it is above 0, makes all of it one regular drill: so many seconds from
	// stroke to stroke of one player, as a ball machine feeds, in series without end.
	Period float64
	Rate   int // samples a second
}

// Pair is the recordings of the same minutes by two microphones 6 m apart, with the truth. It is
// for one goroutine.
// What sounds at Seconds b of the second recording sounds at Offset + (1+Drift) b of the
// first, by the clocks of the two; the way of the sound comes on top.
type Pair struct {
	Offset float64 // seconds
	Drift  float64 // of one, as 50e-6: 50 millionths
	// Middle is how much later the sound of the table's middle reaches the first
	// microphone than the second, seconds: at most 6 m of way.
	Middle float64

	hall    *hall
	ears    [2]ear
	scene   []event
	seeds   uint64
	seconds float64
}

// First is what the first microphone recorded.
func (p *Pair) First() []float32 { return p.hall.heardBy(p.ears[0], 1, p.scene, p.seeds, p.seconds) }

// Second is what the second microphone recorded.
func (p *Pair) Second() []float32 { return p.hall.heardBy(p.ears[1], 2, p.scene, p.seeds, p.seconds) }

// spot is a place on the floor of the hall, metres from the middle of the table along it
// and across; all sounds and microphones are about as high.
type spot struct{ x, y float64 }

func (s spot) to(o spot) float64 { return math.Hypot(s.x-o.x, s.y-o.y) }

// event is one sound of the scene. It is made anew for each ear, by a seed of its own.
type event struct {
	at   float64 // seconds of true time
	from spot
	make func() []float64
	only int // 0: both hear it; 1, 2: only that ear, as a knock on its stand
}

// ear is one microphone with its clock and the room round it.
type ear struct {
	at      spot
	begins  float64 // true time of its first sample
	fast    float64 // of its clock: it has so many parts of one more samples a second
	answer  room
	gain    float64 // peak
	hissing float64 // decibels
	phone   bool    // automatic gain that clips
	fan     float64 // a fan beside it, loudness; 0 none
}

// MakePair draws what is needed to record the same minutes with two microphones 6 m apart, each with a clock, a
// gain, a room and disturbances of its own. What is played, where everything stands and
// how much each source is heard is drawn; every sound has its own way to each microphone.
// Two of one Hall and different Play are other minutes of one hall.
func MakePair(o PairOptions) Pair {
	h := &hall{rng: rand.New(rand.NewPCG(uint64(o.Hall), 0x70616972)), rate: float64(o.Rate)}
	own, others := h.table(2, 4), h.neighbours()
	ears := h.ears()
	const lead = 40 // seconds of true time before either begins, at most
	h.rng = rand.New(rand.NewPCG(uint64(o.Play), 0x706c6179))
	for i := range ears {
		ears[i].begins, ears[i].fast = h.between(0, lead), h.between(-50e-6, 50e-6)
	}
	scene := h.happens(o, lead+o.Seconds, own, others)
	return Pair{
		Offset: (ears[1].begins - ears[0].begins) * (1 + ears[0].fast),
		Drift:  (1+ears[0].fast)/(1+ears[1].fast) - 1,
		Middle: (ears[0].at.to(spot{}) - ears[1].at.to(spot{})) / speedOfSound,
		hall:   h, ears: ears, scene: scene, seeds: h.rng.Uint64(), seconds: o.Seconds,
	}
}

const speedOfSound = 343 // metres a second, at 20 degrees

// ears stand 6 m apart, neither in the table.
func (h *hall) ears() (two [2]ear) {
	for {
		a := spot{h.between(-4.5, 4.5), h.between(-3, 3)}
		turned := h.between(0, 2*math.Pi)
		b := spot{a.x + 6*math.Cos(turned), a.y + 6*math.Sin(turned)}
		if a.to(spot{}) > 2.2 && b.to(spot{}) > 2.2 && b.to(spot{}) < 6 {
			two[0].at, two[1].at = a, b
			break
		}
	}
	for i := range two {
		e := &two[i]
		e.answer = room{h.between(.7, 2.2), h.between(2.5, 7), h.between(.9, 1.1)}
		e.gain, e.hissing, e.phone = h.logBetween(.05, .9), h.between(-62, -48), h.rng.Float64() < .3
		if h.rng.Float64() < .4 {
			e.fan = h.logBetween(.004, .03)
		}
	}
	return two
}

// neighbour is another table in the hall.
type neighbour struct {
	table table
	at    spot
}

func (h *hall) neighbours() (all []neighbour) {
	for range h.rng.IntN(3) {
		turned, far := h.between(0, 2*math.Pi), h.between(4, 9)
		all = append(all, neighbour{h.table(2, 4), spot{far * math.Cos(turned), far * math.Sin(turned)}})
	}
	return all
}

// happens is everything that sounds, in order of time.
func (h *hall) happens(o PairOptions, seconds float64, own table, others []neighbour) (scene []event) {
	var plays []strikes
	if o.Period > 0 {
		plays = h.drill(o.Period, seconds)
	} else {
		plays, _ = h.train(training{pauses: [2]float64{1.5, 12}}, seconds)
	}
	scene = h.strokesAt(scene, own, spot{}, plays)
	for _, n := range others {
		played, _ := h.train(training{pauses: [2]float64{1.2, 6}}, seconds)
		scene = h.strokesAt(scene, n.table, n.at, played)
	}
	anywhere := func() spot { return spot{h.between(-8, 8), h.between(-6, 6)} }
	for t := h.between(0, 4); t < seconds; t += h.between(.3, 2.5) { // steps
		scene = append(scene, event{at: t, from: spot{h.between(-3, 3), h.between(-1.5, 1.5)}, make: h.thud})
	}
	for t := h.between(0, 30); t < seconds; t += h.between(10, 60) { // somebody talks
		from, pitch, gain := anywhere(), h.between(95, 240), h.between(.08, .4)
		for range 4 + h.rng.IntN(16) {
			scene = append(scene, event{at: t, from: from, make: func() []float64 { return h.syllable(pitch*h.between(.85, 1.2), gain) }})
			t += h.between(.15, .3)
		}
	}
	for t := h.between(0, 60); t < seconds; t += h.between(20, 90) { // claps
		from := anywhere()
		for range 1 + h.rng.IntN(6) {
			scene = append(scene, event{at: t, from: from, make: func() []float64 { return h.clap(h.between(1000, 2600), h.between(.4, 1)) }})
			t += h.between(.25, .5)
		}
	}
	for only := 1; only <= 2; only++ { // knocks on a stand, and whoever whispers beside it
		for t := h.between(0, 20); t < seconds; t += h.between(2, 25) {
			for range 1 + h.rng.IntN(4) {
				scene = append(scene, event{at: t, only: only, make: func() []float64 { return h.clap(h.between(300, 3000), h.logBetween(.1, .6)) }})
				t += h.between(.08, .6)
			}
		}
	}
	sort.SliceStable(scene, func(i, j int) bool { return scene[i].at < scene[j].at })
	return scene
}

// drill is one regular drill: a ball each period, as a machine feeds, a break of some
// balls here and there, and a stroke that misses now and then.
func (h *hall) drill(period, seconds float64) (out []strikes) {
	rise, flight := period*h.between(.12, .2), period*h.between(.25, .35)
	for t := h.between(1, 2); t < seconds-2; t += period {
		if h.rng.Float64() < .01 {
			t += period * float64(2+h.rng.IntN(8)) // the machine's clock goes on
		}
		at := t + .004*h.rng.NormFloat64()
		out = append(out, strikes{at, bounce, true, .9})
		if h.rng.Float64() < .97 {
			at += h.vary(rise, .06)
			out = append(out, strikes{at, racket, true, 1.1})
			if h.rng.Float64() < .9 {
				out = append(out, strikes{at + h.vary(flight, .06), bounce, false, 1})
			}
		}
	}
	return inOrder(out, seconds)
}

// strokesAt adds what is played at a table that stands somewhere, turned as the filmed one.
func (h *hall) strokesAt(scene []event, t table, at spot, plays []strikes) []event {
	behind := [2]float64{h.between(.1, 1.2), h.between(.1, 1.2)}
	for _, p := range plays {
		of, sign := side(p.near), 1.
		if p.near {
			sign = -1
		}
		b, x := t.rackets[of], tableLength/2+behind[of]+.2*h.rng.NormFloat64()
		switch p.what {
		case bounce, palm, on:
			b, x = t.halves[of], h.between(.2, 1.3)
		case floor:
			b, x = t.ground, tableLength/2+h.between(.5, 3)
		case net:
			b, x = t.netting, 0
		}
		scene = append(scene, event{
			at: p.at, from: spot{at.x + sign*x, at.y + h.between(-.7, .7)}, make: func() []float64 { return h.sound(b, p.force) },
		})
	}
	return scene
}

// thud is a step.
func (h *hall) thud() []float64 {
	out := make([]float64, int(.08*h.rate))
	low, scuff := resonator(h.between(70, 160), 60, h.rate), resonator(h.between(800, 2500), 1500, h.rate)
	gain := h.between(.03, .15)
	for i := range out {
		x := float64(i) / h.rate
		out[i] = gain * min(1, x/.004) * math.Exp(-x/.018) * (low.next(h.rng.NormFloat64()) + .15*scuff.next(h.rng.NormFloat64()))
	}
	return out
}

// heardBy is what one microphone records, in blocks, so that a long recording needs no
// more memory than its samples.
func (h *hall) heardBy(e ear, number int, scene []event, seeds uint64, seconds float64) []float32 {
	const block, tail = 10, 2 // seconds
	clock := h.rate * (1 + e.fast)
	n, step := int(seconds*h.rate), int(block*h.rate)
	direct, diffuse := make([]float64, step+int(tail*h.rate)), make([]float64, step+int(tail*h.rate))
	h.rng = rand.New(rand.NewPCG(seeds, uint64(number)))
	mixer := e.answer.mixer(h)
	low := resonator(h.between(120, 600), 300, h.rate)
	out := make([]float64, 0, n)
	next := 0
	for first := 0; first < n; first += step {
		for ; next < len(scene); next++ {
			v := &scene[next]
			if (v.at-e.begins)*clock >= float64(first+step) {
				break
			}
			away := max(.4, v.from.to(e.at))
			if v.only == number {
				away = 1
			}
			k := int(math.Round((v.at-e.begins+away/speedOfSound)*clock)) - first
			if k < 0 || v.only != 0 && v.only != number {
				continue
			}
			h.rng = rand.New(rand.NewPCG(seeds, uint64(next)+10))
			sound := v.make()
			h.rng = rand.New(rand.NewPCG(seeds, uint64(next)*2+uint64(number)+1<<40))
			turned := h.spread(2) // sounds are louder to one side
			for i, s := range sound[:min(len(sound), max(0, len(direct)-k))] {
				direct[k+i] += turned * s / away
				diffuse[k+i] += s
			}
		}
		for i := range min(step, n-first) {
			v := mixer.next(direct[i], diffuse[i])
			if e.fan > 0 {
				v += e.fan * (low.next(h.rng.NormFloat64()) + .1*h.rng.NormFloat64())
			}
			out = append(out, v)
		}
		for _, b := range [][]float64{direct, diffuse} {
			clear(b[copy(b, b[step:]):])
		}
	}
	h.hiss(out, e.hissing)
	if e.phone {
		out = phone(out, h.rate, 2)
	}
	level(out, e.gain)
	return quantised(out, 16)
}
