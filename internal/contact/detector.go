package contact

// Detector hears a stream of any length in flat memory: it holds about a tenth
// of a second of samples, and the candidates of a window of play. Not for
// concurrent use. Nothing needs closing; Finish gives what is left.
type Detector struct {
	search  *search
	lattice lattice
	model   model
	heard   bool // the model has learnt from a window
	waiting []candidate
}

// NewDetector listens to samples that come rate a second; see [MinRate].
func NewDetector(rate int) (*Detector, error) {
	if err := checkRate(rate); err != nil {
		return nil, err
	}
	return &Detector{search: newSearch(rate), model: common()}, nil
}

// Write takes the next samples, any number, and returns what has become certain,
// in order of time. Contacts come up to a window (80 s) late.
func (d *Detector) Write(samples []float32) []Contact {
	d.waiting = append(d.waiting, d.search.write(samples)...)
	return nil
}

// Finish ends the stream and returns the rest. The Detector is spent.
func (d *Detector) Finish() []Contact {
	d.waiting = append(d.waiting, d.search.finish()...)
	return d.decide()
}

// rounds of learning: with both sides alike, then apart.
const (
	roundsAlike = 4
	roundsApart = 5
)

func (d *Detector) decide() []Contact {
	cs := d.waiting
	if len(cs) == 0 {
		return nil
	}
	m := &d.model
	m.begin(cs)
	for range roundsAlike {
		var t tallies
		d.lattice.decode(m, cs, &t)
		m.learn(&t, false)
	}
	beliefs := d.lattice.decode(m, cs, nil)
	m.part(cs, beliefs)
	for range roundsApart {
		var t tallies
		d.lattice.decode(m, cs, &t)
		m.learn(&t, true)
	}
	beliefs = d.lattice.decode(m, cs, nil)
	var out []Contact
	for i := range cs {
		b := &beliefs[i]
		c := Contact{Seconds: cs[i].at, Kind: Other, Strength: cs[i].strength, Confidence: b.contact()}
		if b.contact() > .5 {
			c.Kind, c.Who = Bounce, Near
			if b.racket() > b.contact()/2 {
				c.Kind = Racket
			}
			if b.side(1) > b.side(0) {
				c.Who = Far
			}
		}
		out = append(out, c)
	}
	return out
}
