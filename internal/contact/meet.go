package contact

import (
	"cmp"
	"math"
	"slices"
)

// Rounds of learning and how many ways to understand a clip are tried. Chosen on the
// tuning seeds of BenchmarkAnyHall: more change little.
const (
	roundsGroups = 5 // with the candidates of the groups
	roundsAll    = 3 // with all candidates, three times
	mostTables   = 4
	mostCasts    = 60
	mostOrders   = 8
	mostAlike    = 3 // orders that take the same groups for rackets and for bounces
)

// certain are odds, a logarithm, where nothing speaks for another way to understand a
// clip.
const certain = 100

// table is a play that can be heard, in one way to understand it.
type table struct {
	reading
	ways   []cast  // how it may be understood: the likeliest first, then one that contradicts it
	rhythm float64 // nats by which its moments are likelier with play than at random
	near   float64 // how loud and how direct it is, nats
	score  float64 // how likely this way is, nats against others
	play   verdict
	beats  bool
}

// meet learns a clip from nothing: it parts the sounds, looks for groups of them that
// come as a ball goes from racket to table, and takes the nearest table.
func (d *Detector) meet(cs []candidate) {
	a, b := &d.readings[0], &d.readings[1]
	g := gather(cs)
	filmed := choose(d.tables(&g))
	if filmed == nil {
		*a = reading{beliefs: make([]belief, len(cs))}
		*b = *a
		return
	}
	var ways []table
	for _, r := range filmed.ways {
		ways = append(ways, d.understood(&g, cs, r))
	}
	slices.SortStableFunc(ways, byScore)
	*a, *b, d.odds = ways[0].reading, ways[0].reading, certain
	for _, w := range ways[1:] {
		if contradict(a.beliefs, w.beliefs) {
			*b, d.odds = w.reading, ways[0].score-w.score
			break
		}
	}
	if d.odds < telling && !a.model.sided() && b.model.brighter()-a.model.brighter() > plainly {
		*a, *b = *b, *a
		d.odds = 0
	}
	for i := range d.readings {
		r := &d.readings[i]
		r.model.besides(true)
		seen := d.follow(r, cs)
		r.memory.keep(&seen)
		r.near = r.model.louder()
	}
}

// Where the moments hardly tell rackets from bounces, and both players' rackets are
// alike, the plainly brighter sound is taken for the racket, and nothing is claimed of
// it: its confidence is that of a guess.
const (
	telling = 28 // odds, logarithm
	plainly = .5 // octaves
)

// brighter is by how many octaves the rackets are brighter than the bounces: the mean
// of where their energy lies.
func (m *model) brighter() (octaves float64) {
	step := math.Log2(highestLevel/lowestLevel) / levels
	for s := range m.sounds {
		sum, moment := 0., 0.
		for l, v := range m.sounds[s].mean[:levels] {
			sum += math.Exp(v)
			moment += math.Exp(v) * float64(l) * step
		}
		if s <= int(racket1) {
			octaves += moment / sum / 2
		} else {
			octaves -= moment / sum / 2
		}
	}
	return octaves
}

func byScore(a, b table) int { return cmp.Compare(b.score, a.score) }

// contradict reports whether two readings take more than a tenth of the contacts for
// different kinds.
func contradict(a, b []belief) bool {
	all, other := 0., 0.
	for i := range a {
		if a[i].contact() > .5 && b[i].contact() > .5 {
			all++
			if a[i].isRacket() != b[i].isRacket() {
				other++
			}
		}
	}
	return other > .1*all
}

// choose finds the table that is filmed: of all that have a rhythm the one that is heard
// nearest. It returns nil if there is none.
func choose(tables []table) (filmed *table) {
	const (
		least, faint = 3, .15 // nats; against the clearest rhythm
		clear        = 8      // nats
		worth        = 1.1    // of a rhythm e times as clear, in nats of nearness
	)
	plays := func(t table) bool { return t.play > noPlay && !t.beats && t.rhythm >= clear }
	onlyBeats := !slices.ContainsFunc(tables, plays)
	top := 0.0
	for _, t := range tables {
		if t.play > noPlay && (onlyBeats || !t.beats) {
			top = max(top, t.rhythm)
		}
	}
	highest := math.Inf(-1)
	for i := range tables {
		t := &tables[i]
		if t.play == noPlay || t.beats && !onlyBeats || t.rhythm < max(least, faint*top) {
			continue
		}
		if v := t.near + worth*math.Log(t.rhythm); v > highest {
			filmed, highest = t, v
		}
	}
	return filmed
}

// tables finds the plays of which the groups tell, each of other groups.
func (d *Detector) tables(g *groups) (out []table) {
	usual := common()
	usual.besides(false)
	usual.rate = g.rate()
	taken := make([]bool, len(g.all))
	for range mostTables {
		groups, found := g.best(&d.lattice, &usual, taken)
		if !found {
			break
		}
		for _, k := range groups {
			taken[k] = true
		}
		orders := groups.variants()
		fit := map[cast]float64{}
		for _, r := range orders {
			m := g.start(r)
			fit[r] = g.rhythm(&d.lattice, &usual, r) + g.near(r) + m.halves()
		}
		slices.SortStableFunc(orders, func(a, b cast) int { return cmp.Compare(fit[b], fit[a]) })
		var ways []table
		alike := map[kinds]int{}
		for _, r := range orders {
			k := r.kinds()
			if alike[k] == mostAlike || len(ways) == mostOrders {
				continue
			}
			alike[k]++
			t := table{reading: reading{model: g.start(r)}, ways: []cast{r}}
			d.round(&t.reading, g.thin, roundsGroups)
			d.rate(&t, g.thin)
			t.score += g.near(r)
			ways = append(ways, t)
		}
		slices.SortStableFunc(ways, byScore)
		t := ways[0]
		for _, w := range ways[1:] {
			if len(t.ways) < 4 && contradict(t.beliefs, w.beliefs) {
				t.ways = append(t.ways, w.ways...)
			}
		}
		t.play, t.beats = d.play(&t.reading, g.thin), timingOf(g.thin, t.beliefs).beats(t.model.sided())
		out = append(out, t)
	}
	return out
}

// understood learns from all candidates, beginning with a cast of the groups.
func (d *Detector) understood(g *groups, cs []candidate, r cast) table {
	t := table{reading: reading{model: g.start(r)}}
	d.round(&t.reading, cs, roundsAll)
	if r[racket0] == r[racket1] && r[bounce0] == r[bounce1] {
		t.model.part(cs, d.lattice.decode(&t.model, cs, nil))
	}
	for range 2 {
		t.beliefs = d.lattice.decode(&t.model, cs, nil)
		g.release(&t.reading, cs)
		d.round(&t.reading, cs, roundsAll)
	}
	d.rate(&t, cs)
	t.score += g.near(r)
	return t
}

// round learns so many times over what is in play.
func (d *Detector) round(r *reading, cs []candidate, times int) {
	for range times {
		d.learn(r, cs)
	}
}

// rate tells how likely and how near a play is.
func (d *Detector) rate(t *table, cs []candidate) {
	// How firm the model holds on to usual play is told by learning; half of it is
	// enough here.
	const firm = .5
	t.beliefs = d.lattice.decode(&t.model, cs, nil)
	t.rhythm = d.rhythm(&t.reading, cs)
	t.near = 0
	for s := range t.model.sounds {
		t.near += nearness(&t.model.sounds[s].mean) / sounds
	}
	t.score = t.rhythm + firm*t.model.plausible() + t.model.halves() + t.model.unhurried()
}

// rhythm is how much likelier the moments of the contacts are with play than at
// random, nats, whatever they sound like.
func (d *Detector) rhythm(r *reading, cs []candidate) float64 {
	m := r.model
	m.loose = new([sounds]float64)
	heard := cs[len(cs)-1].at - cs[0].at + 1
	for i := range r.beliefs {
		for s, v := range r.beliefs[i].sound {
			m.loose[s] += v / heard
		}
	}
	d.lattice.decode(&m, cs, nil)
	return d.lattice.whole
}

// unhurried is how likely it is that the ball's two ways take as long as they do,
// logarithm: from a racket to the other half it is farther than from there to the next
// racket. A ball of 5 to 10 m/s from .1 to 1 m behind the table takes .25 to .5 s and .1
// to .3 s (our own estimate, no source).
func (m *model) unhurried() (sum float64) {
	const flight, rise, spread = .36, .18, .2 // seconds; logarithm
	for k := range m.steps {
		st := &m.steps[k]
		usual := 0.
		switch {
		case st.flies():
			usual = flight
		case st.rises():
			usual = rise
		default:
			continue
		}
		z := (st.gap.mean - math.Log(usual)) / spread
		sum -= .5 * z * z
	}
	return sum
}

// halves is how much likelier the two sounds of bounces are as two halves of one table
// than as two other things, nats: both are of one make, and only one is nearer to the
// microphone (common practice, no source).
func (m *model) halves() float64 {
	const alike, other, most = .5, 1.6, 12 // spread of a level's difference, nats; nats
	square, _ := timbres(&m.sounds[bounce0].mean, &m.sounds[bounce1].mean)
	// Neighbouring levels go together: each says half as much.
	sum := .5 * levels * (math.Log(other/alike) - .5*square*(1/(alike*alike)-1/(other*other)))
	return max(-2*most, min(most, sum))
}
