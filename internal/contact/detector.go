package contact

import "math"

// Detector hears a stream of any length in flat memory: it holds on to about a
// tenth of a second of samples and to the candidates of five and a half minutes at most. Not
// for concurrent use. Nothing needs closing; Finish gives what is left.
type Detector struct {
	search   *search
	lattice  lattice
	readings [2]reading // as it is told, and with rackets and bounces the other way round
	met      bool
	playing  verdict // in the window that is decided
	odds     float64 // of the first against the second, logarithm

	last struct{ at, strength float64 } // the contact told last

	keeps  bool
	sounds []Sound

	waiting []candidate
	decided int // of waiting, how many have been given out
}

// The stream is decided a window at a time. What lies in the last part of a
// window is decided again with the next one, and the part before that goes with
// it, so that no play is cut. A clip shorter than a window is decided as a whole.
// In windows of 90 s three sessions of 80 with ten conditions were misunderstood
// throughout, in windows of 300 s one, as in windows of 600 s.
const (
	window  = 300. // seconds of candidates that make a decision
	overlap = 15.  // seconds that are decided again; as many come along before them
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
// in order of time. Contacts come up to a window (300 s) late. In which pieces a sound
// comes makes no difference.
func (d *Detector) Write(samples []float32) (out []Contact) {
	for _, c := range d.search.write(samples) {
		d.keep(&c)
		d.waiting = append(d.waiting, c)
		if c.at-d.waiting[d.decided].at >= window {
			out = append(out, d.next()...)
		}
	}
	return out
}

// next decides a window and forgets what the one after it does not need.
func (d *Detector) next() []Contact {
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
	last := d.search.finish()
	for i := range last {
		d.keep(&last[i])
	}
	d.waiting = append(d.waiting, last...)
	return d.decide(math.Inf(1))
}

// roundsFollow is how often a model learns from a window. Chosen by TestTable on the
// tuning seeds: more change nothing.
const roundsFollow = 3

// reading is one way to understand a clip.
type reading struct {
	model   model
	memory  tallies // what earlier windows showed of the sounds
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

// follow goes on learning from what the model knows.
func (d *Detector) follow(r *reading, cs []candidate) (seen tallies) {
	for range roundsFollow {
		seen = d.learn(r, cs)
	}
	r.beliefs = d.lattice.decode(&r.model, cs, nil)
	return seen
}

// learn decodes once and moves the model to what was seen, in these candidates
// and before.
func (d *Detector) learn(r *reading, cs []candidate) (seen tallies) {
	var t tallies
	d.lattice.decode(&r.model, cs, &t)
	seen = t
	t.recall(&r.memory)
	r.model.learn(&t)
	return seen
}

// tell puts what is believed of the candidates before until into words. Sharp
// sounds that fit no play are told as well, so that a coach can take one in, but
// for the echoes of a contact.
func (d *Detector) tell(cs []candidate, beliefs, turned []belief, until float64) []Contact {
	var out []Contact
	late := begun(cs, beliefs)
	sure := 1 / (1 + math.Exp(-d.odds/temper))
	parted := 1. // chance that kinds are told apart, whichever is which
	if d.playing > noPlay && d.readings[0].model.distinct() < distinctly {
		parted = guessed
	}
	for ; d.decided < len(cs) && cs[d.decided].at < until; d.decided++ {
		c, b := &cs[d.decided], &beliefs[d.decided]
		found := Contact{
			Seconds: c.at, Kind: Other,
			Strength:   c.strength / (c.strength + middling),
			Confidence: b.contact(),
		}
		switch {
		case b.contact() > .5 && d.playing > noPlay:
			if late[b.most()] {
				found.Seconds = cs[beginning(cs, beliefs, d.decided)].at
				for n := len(out); n > 0 && out[n-1].Kind == Other && out[n-1].Seconds >= found.Seconds; n-- {
					out = out[:n-1]
				}
			}
			found.Alone = .5 + (found.Confidence-.5)*(2*parted-1)
			found.Confidence = .5 + (found.Alone-.5)*(2*sure-1)
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

// Where rackets and bounces differ by less than this, in standard deviations, a rally is
// easily taken for one that began with the other: of the clips of the tuning seeds six in
// ten were understood rightly there, and nearly all above it.
const (
	distinctly = 6
	guessed    = .55 // chance
)

// echo is how long after a contact a softer sound is taken for its first
// reflections, seconds: the way to a wall 12 m off and back, at 343 m/s.
const echo = .07

// middling is a usual contact's rise, nats over the bands: a strength of ½.
const middling = 13
