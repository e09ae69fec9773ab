package contact

// What play sounds like at the least. Chosen on the tuning seeds of BenchmarkAnyHall.
const (
	longLow  = -1.9 // energy left after 13-24 ms, nats: what rings longer is a voice or an instrument
	longHigh = -2.2
	rings    = -.9
	buried   = 1.5 // nats above what sounded before: a crowd's claps drown in each other
	blurred  = 2.0 // as buried, where the rhythm is not clear
	oneSound = 3.4 // as buried, where rackets and bounces are hardly distinct
	clear    = .8  // nats a contact, as scant
	aimless  = .5  // spread of the gaps' logarithms: a ball keeps to its way

	// Where sounds stand out by less than hidden, more is asked.
	hidden   = 2.5 // as buried
	straying = .39 // as aimless
	scant    = .36 // nats a contact by which play explains the moments better than chance
)

// standing is how sure it is that what keeps a rhythm is play.
type verdict int

const (
	noPlay verdict = iota
	doubtful
	likely
)

// play says whether what a reading takes for play is play. What nobody played has a
// rhythm as well, and is learned as readily.
func (d *Detector) play(r *reading, cs []candidate) verdict {
	m := &r.model
	var mean [features]float64
	for s := range m.sounds {
		for i, v := range m.sounds[s].mean {
			mean[i] += v / sounds
		}
	}
	if mean[lowDecay] > longLow && mean[highDecay] > longHigh || max(mean[lowDecay], mean[highDecay]) > rings {
		return noPlay
	}
	own := 0.
	for i := range r.beliefs {
		own += r.beliefs[i].contact()
	}
	t, rhythm := timingOf(cs, r.beliefs), d.rhythm(r, cs)
	weak := mean[standing] < hidden && (m.unsteady() > straying || rhythm < scant*own) ||
		mean[standing] < blurred && rhythm < clear*own ||
		mean[standing] < oneSound && m.distinct() < distinctly
	if weak || mean[standing] < buried || m.unsteady() > aimless || t.beats(m.sided()) {
		return doubtful
	}
	return likely
}

// unsteady is the mean spread of the ball's way to and fro.
func (m *model) unsteady() (sd float64) {
	for k := range m.steps {
		if st := &m.steps[k]; st.flies() || st.rises() {
			sd += st.gap.sd / 4
		}
	}
	return sd
}
