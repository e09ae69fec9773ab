package contact

import "math"

// Detector hears a stream of any length in flat memory: it holds on to about a
// tenth of a second of samples and to the candidates of two minutes at most. Not
// for concurrent use. Nothing needs closing; Finish gives what is left.
type Detector struct {
	search  *search
	lattice lattice
	model   model
	memory  tallies // what earlier windows showed of the sounds
	settled bool    // the model knows the clip's two sides
	near    int     // the side that is taken to be nearer: the louder one

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
	return &Detector{search: newSearch(rate), model: common()}, nil
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
	roundsAlike = 3
	roundsApart = 3
)

// decide learns from all that waits and gives out what lies before until.
func (d *Detector) decide(until float64) []Contact {
	cs := d.waiting
	if len(cs) == 0 {
		return nil
	}
	m := &d.model
	var seen tallies
	if d.settled {
		seen = d.follow(cs)
	} else {
		seen = d.meet(cs)
	}
	if d.memory.sounds[racket0].n+d.memory.sounds[racket1].n == 0 {
		d.near = m.louder()
	}
	d.memory.keep(&seen)
	return d.tell(cs, d.lattice.decode(m, cs, nil), until)
}

// meet learns a clip from nothing: as a usual one, and where that makes no sense,
// as one without another table, and as one of strange sounds.
func (d *Detector) meet(cs []candidate) tallies {
	seen := d.fit(cs, false, 1)
	if seen.mistaken() {
		seen = d.fit(cs, true, 1)
	}
	if !seen.deaf(cs) {
		return seen
	}
	if odd := d.fit(cs, true, strange); !odd.deaf(cs) && d.model.distinct() {
		return odd
	}
	return d.fit(cs, d.model.alone, 1)
}

// strange is how many times more than usual the sounds of a clip may differ from
// those of others, where the usual finds next to nothing.
const strange = 2.5

// fit learns from the candidates until there is nothing more to learn and returns
// what was seen of them last.
func (d *Detector) fit(cs []candidate, alone bool, wide float64) tallies {
	m := &d.model
	*m = common()
	m.wide = wide
	m.begin(cs)
	if alone {
		m.leave()
	}
	for range roundsAlike {
		d.learn(cs, false)
	}
	d.settled = m.part(cs, d.lattice.decode(m, cs, nil))
	return d.follow(cs)
}

// follow goes on learning from what the model knows.
func (d *Detector) follow(cs []candidate) (seen tallies) {
	for range roundsApart {
		seen = d.learn(cs, d.settled)
	}
	return seen
}

// learn decodes once and moves the model to what was seen, in these candidates
// and before.
func (d *Detector) learn(cs []candidate, sided bool) tallies {
	var t tallies
	d.lattice.decode(&d.model, cs, &t)
	seen := t
	t.recall(&d.memory)
	d.model.learn(&t, sided)
	return seen
}

// tell puts what is believed of the candidates before until into words. Sharp
// sounds that fit no play are told as well, so that a coach can take one in, but
// for the echoes of a contact.
func (d *Detector) tell(cs []candidate, beliefs []belief, until float64) []Contact {
	var out []Contact
	for ; d.decided < len(cs) && cs[d.decided].at < until; d.decided++ {
		c, b := &cs[d.decided], &beliefs[d.decided]
		found := Contact{
			Seconds: c.at, Kind: Other,
			Strength:   c.strength / (c.strength + middling),
			Confidence: b.contact(),
		}
		switch {
		case b.contact() > .5:
			found.Kind, found.Who = Bounce, Far
			if b.racket() > b.contact()/2 {
				found.Kind = Racket
			}
			if b.side(d.near) > b.side(1-d.near) {
				found.Who = Near
			}
		case c.x[suddenness] < sharp, c.at < d.last.at+echo && c.strength < d.last.strength:
			continue
		}
		if found.Kind != Other {
			d.last.at, d.last.strength = c.at, c.strength
		}
		out = append(out, found)
	}
	return out
}

// echo is how long after a contact a softer sound is taken for its first
// reflections, seconds: the way to a wall 12 m off and back, at 343 m/s.
const echo = .07

// middling is a usual contact's rise, nats over the bands: a strength of ½.
const middling = 13
