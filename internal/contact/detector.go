package contact

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Detector hears a stream of any length in flat memory: it holds on to about a
// tenth of a second of samples and to the candidates of two minutes at most. Not
// for concurrent use. Nothing needs closing; Finish gives what is left.
type Detector struct {
	search   *search
	lattice  lattice
	readings [2]reading // as it is told, and with rackets and bounces the other way round
	met      bool
	playing  verdict // in the window that is decided
	note string
	lab *labClip
	odds     float64 // of the first against the second, logarithm

	last struct{ at, strength float64 } // the contact told last

	waiting []candidate
	decided int // of waiting, how many have been given out
}

// The stream is decided a window at a time. What lies in the last part of a
// window is decided again with the next one, and the part before that goes with
// it, so that no play is cut. Chosen for two-hour sounds; a clip shorter than a
// window is decided as a whole.
const (
	window  = 90. // seconds of candidates that make a decision
	overlap = 15. // seconds that are decided again; as many come along before them
)

// NewDetector listens to samples that come rate a second. It returns [ErrRate]
// below [MinRate].
func NewDetector(rate int) (*Detector, error) {
	if err := checkRate(rate); err != nil {
		return nil, err
	}
	return &Detector{search: newSearch(rate)}, nil
}

// Write takes the next samples, any number, and returns what has become certain,
// in order of time. Contacts come up to a window (90 s) late.
func (d *Detector) Write(samples []float32) []Contact {
	d.waiting = append(d.waiting, d.search.write(samples)...)
	if n := len(d.waiting); n == 0 || d.waiting[n-1].at-d.waiting[d.decided:][0].at < window {
		return nil
	}
	until := d.waiting[len(d.waiting)-1].at - overlap
	out := d.decide(until)
	first := 0
	for d.waiting[first].at < until-overlap {
		first++
	}
	d.waiting = append(d.waiting[:0], d.waiting[first:]...)
	d.decided -= first
	return out
}

// Finish ends the stream and returns the rest. The Detector is spent.
func (d *Detector) Finish() []Contact {
	d.waiting = append(d.waiting, d.search.finish()...)
	return d.decide(math.Inf(1))
}

// Rounds of learning: with both sides alike, and apart. Chosen by TestTable on
// the tuning seeds: more change nothing.
const (
	roundsAlone = 3
	roundsAlike = 2
	roundsApart = 3
)

// reading is one way to understand a clip.
type reading struct {
	model   model
	memory  tallies // what earlier windows showed of the sounds
	settled bool    // the model knows the clip's two sides
	near    int     // the side that is taken to be nearer: the louder one
	beliefs []belief
}

// decide learns from all that waits and gives out what lies before until.
func (d *Detector) decide(until float64) []Contact {
	cs := d.waiting
	if len(cs) == 0 {
		return nil
	}
	if d.met {
		for i := range d.readings {
			r := &d.readings[i]
			seen := d.follow(r, cs)
			r.memory.keep(&seen)
		}
	} else {
		d.readings = [2]reading{}
		d.meet(cs)
	}
	a, b := &d.readings[0], &d.readings[1]
	d.playing = noPlay
	if a.model.clutter != nil {
		d.playing = d.play(a, cs)
	}
	d.met = d.met || d.playing == likely // what nobody played teaches nothing
	return d.tell(cs, a.beliefs, b.beliefs, until)
}

// meet learns a clip from nothing.
func (d *Detector) meet(cs []candidate) {
	a, b := &d.readings[0], &d.readings[1]
	g := gather(cs, loudness(cs))
	ways := d.choose(&g, cs)
	if ways == nil {
		*a = reading{beliefs: make([]belief, len(cs))}
		*b = *a
		return
	}
	*a, *b = ways[0].reading, ways[0].reading
	d.odds = certain
	for _, w := range ways[1:] {
		if contradict(a.beliefs, w.beliefs) {
			*b, d.odds = w.reading, ways[0].score-w.score
			break
		}
	}
	for i := range d.readings {
		r := &d.readings[i]
		r.model.besides(true)
		seen := d.follow(r, cs)
		r.memory.keep(&seen)
		r.near = r.model.louder()
	}
}

// certain are odds, a logarithm, where nothing speaks for another way to understand a
// clip.
const certain = 100

// contradict reports whether two readings take more than a tenth of the contacts for
// different kinds.
func contradict(a, b []belief) bool {
	all, other := 0., 0.
	for i := range a {
		if a[i].contact() > .5 && b[i].contact() > .5 {
			all++
			if (a[i].racket() > a[i].contact()/2) != (b[i].racket() > b[i].contact()/2) {
				other++
			}
		}
	}
	return other > .1*all
}

// round learns that many times over.
func (d *Detector) round(r *reading, cs []candidate, times int, besides bool) {
	r.model.besides(besides)
	for range times {
		d.learn(r, cs, true)
	}
}

const (
	roundsFirst = 8
	mostTables  = 4
	mostCasts   = 200
	mostOrders  = 4
)

// table is a play that can be heard.
type table struct {
	reading
	casts               []roles // ways to understand its sounds, the likeliest first
	rhythm, near, score float64
	play                verdict
	beats               bool
}

// choose finds the table that is filmed among those whose play can be heard: of all that
// have a rhythm the one that is heard nearest.
func (d *Detector) choose(g *groups, cs []candidate) []table {
	tables := slices.DeleteFunc(d.tables(g), func(t table) bool { return t.play == noPlay })
	if slices.ContainsFunc(tables, func(t table) bool { return !t.beats && t.rhythm >= 8 }) {
		tables = slices.DeleteFunc(tables, func(t table) bool { return t.beats })
	}
	top := 0.0
	for _, t := range tables {
		top = max(top, t.rhythm)
	}
	var filmed *table
	for i := range tables {
		t := &tables[i]
		if t.rhythm >= max(3, .15*top) && (filmed == nil || t.near+1.1*math.Log(t.rhythm) > filmed.near+1.1*math.Log(filmed.rhythm)) {
			filmed = t
		}
	}
	if filmed == nil {
		return nil
	}
	var ways []table
	for _, r := range filmed.casts[:min(len(filmed.casts), mostOrders)] {
		t := d.polished(g, cs, r)
		d.note += fmt.Sprintf("\n        POL %v rhythm %.0f score %.0f halves %.1f own %.0f %s", r, t.rhythm, t.score, t.model.halves(), d.labTrue(cs, t.beliefs), t.model.whyNot())
		ways = append(ways, t)
	}
	slices.SortStableFunc(ways, func(a, b table) int { return cmp.Compare(b.score, a.score) })
	return ways
}

// polished learns from all candidates.
func (d *Detector) polished(g *groups, cs []candidate, r roles) table {
	t := table{reading: reading{model: g.start(r), settled: true}}
	d.round(&t.reading, cs, roundsFirst/2, false)
	for range 2 {
		t.beliefs = d.lattice.decode(&t.model, cs, nil)
		g.release(&t.reading, cs)
		d.round(&t.reading, cs, roundsFirst/2, false)
	}
	t.beliefs = d.lattice.decode(&t.model, cs, nil)
	t.rhythm = d.rhythm(&t.reading, cs)
	t.score = t.rhythm + .5*t.model.plausible() + t.model.halves()
	return t
}

// tables finds the plays of which the groups tell, each of other groups.
func (d *Detector) tables(g *groups) (out []table) {
	usual := common()
	usual.besides(false)
	usual.rate = (float64(len(g.thin)) + 5) / (g.heard + 1)
	d.lattice.prepare(&usual)
	taken := make([]bool, len(g.all))
	for range mostTables {
		d.lattice.prepare(&usual)
		var casts []roles
		highest := 0.0
		for _, r := range g.cast(mostCasts, taken) {
			if v := g.rhythm(&d.lattice, &usual, r); v > highest {
				casts, highest = []roles{r}, v
			}
		}
		if highest == 0 {
			break
		}
		for _, k := range casts[0] {
			taken[k] = true
		}
		orders := casts[0].orders()
		fit := map[roles]float64{}
		for _, r := range orders {
			fit[r] = g.rhythm(&d.lattice, &usual, r)
		}
		slices.SortStableFunc(orders, func(a, b roles) int { return cmp.Compare(fit[b], fit[a]) })
		var t table
		for k, r := range orders {
			u := table{reading: reading{model: g.start(r), settled: true}}
			d.round(&u.reading, g.thin, roundsFirst, false)
			u.beliefs = d.lattice.decode(&u.model, g.thin, nil)
			u.rhythm, u.near = d.rhythm(&u.reading, g.thin), u.model.nearness()
			u.score = u.rhythm + .5*u.model.plausible() + u.model.halves()
			fit[r] = u.score
			if k == 0 || u.score > t.score {
				t = u
			}
		}
		slices.SortStableFunc(orders, func(a, b roles) int { return cmp.Compare(fit[b], fit[a]) })
		t.casts = orders
		t.play, t.beats = d.play(&t.reading, g.thin), timingOf(g.thin, t.beliefs).beats()
		d.lattice.prepare(&usual)
		d.note += fmt.Sprintf("\n        %v rhythm %.0f near %.2f own %.0f", orders[0], t.rhythm, t.near, d.labTrue(g.thin, t.beliefs))
		out = append(out, t)
	}
	return out
}

// rhythm is how much likelier the moments of the contacts are with play than at
// random, nats, whatever they sound like.
func (d *Detector) rhythm(r *reading, cs []candidate) float64 {
	m := r.model
	m.judged = true
	m.loose = [sounds]float64{}
	heard := cs[len(cs)-1].at - cs[0].at + 1
	for i := range r.beliefs {
		for s, v := range r.beliefs[i].sound {
			m.loose[s] += v / heard
		}
	}
	d.lattice.decode(&m, cs, nil)
	return d.lattice.whole
}

// follow goes on learning from what the model knows.
func (d *Detector) follow(r *reading, cs []candidate) (seen tallies) {
	for range roundsApart {
		seen = d.learn(r, cs, r.settled)
	}
	r.beliefs = d.lattice.decode(&r.model, cs, nil)
	return seen
}

// learn decodes once and moves the model to what was seen, in these candidates
// and before.
func (d *Detector) learn(r *reading, cs []candidate, sided bool) (seen tallies) {
	var t tallies
	d.lattice.decode(&r.model, cs, &t)
	seen = t
	t.recall(&r.memory)
	r.model.learn(&t, sided)
	return seen
}

// tell puts what is believed of the candidates before until into words. Sharp
// sounds that fit no play are told as well, so that a coach can take one in, but
// for the echoes of a contact.
func (d *Detector) tell(cs []candidate, beliefs, turned []belief, until float64) []Contact {
	var out []Contact
	sure := 1 / (1 + math.Exp(-d.odds/temper))
	for ; d.decided < len(cs) && cs[d.decided].at < until; d.decided++ {
		c, b := &cs[d.decided], &beliefs[d.decided]
		found := Contact{
			Seconds: c.at, Kind: Other,
			Strength:   c.strength / (c.strength + middling),
			Confidence: b.contact(),
		}
		switch {
		case b.contact() > .5 && d.playing > noPlay:
			found.Alone = found.Confidence
			found.Confidence = .5 + (found.Confidence-.5)*(2*sure-1)
			if d.playing == doubtful {
				found.Confidence = min(found.Confidence, doubted)
			}
			found.Kind, found.Who = b.told(d.readings[0].near)
			found.Turned, found.TurnedWho = turned[d.decided].told(d.readings[1].near)
		case c.x[suddenness] < sharp, c.at < d.last.at+echo && c.strength < d.last.strength:
			continue
		default:
			found.Confidence /= 2
		}
		if found.Kind != Other {
			d.last.at, d.last.strength = c.at, c.strength
		}
		out = append(out, found)
	}
	return out
}

// told is what is believed in words.
func (b *belief) told(near int) (kind Kind, who Who) {
	if b.contact() <= .5 {
		return Other, Unknown
	}
	kind, who = Bounce, Far
	if b.racket() > b.contact()/2 {
		kind = Racket
	}
	if b.side(near) > b.side(1-near) {
		who = Near
	}
	return kind, who
}

// doubted is the most confidence where it is not sure that anybody plays.
const doubted = .45

// temper is by how much the odds of the two readings are too high, since the
// sounds of a play do not come independently: the clips of the tuning seeds whose
// kinds came out the wrong way round had odds of e to the power of 10 to 20.
const temper = 10

// echo is how long after a contact a softer sound is taken for its first
// reflections, seconds: the way to a wall 12 m off and back, at 343 m/s.
const echo = .07

// middling is a usual contact's rise, nats over the bands: a strength of ½.
const middling = 13

// halves is how much likelier the two sounds of bounces are as two halves of one table
// than as two other things, nats.
func (m *model) halves() float64 {
	const alike, other, most = .5, 1.6, 12
	level := 0.
	for b := range levels {
		level += (m.sounds[bounce0].mean[b] - m.sounds[bounce1].mean[b]) / levels
	}
	sum := 0.
	for b := range levels {
		d := m.sounds[bounce0].mean[b] - m.sounds[bounce1].mean[b] - level
		sum += .5 * (math.Log(other/alike) - .5*d*d*(1/(alike*alike)-1/(other*other)))
	}
	return max(-2*most, min(most, sum))
}
