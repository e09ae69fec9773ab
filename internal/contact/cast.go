package contact

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// cast takes groups for the four sounds of a table, in the order of [state]: two
// rackets, two halves. One group can be several of them.
type cast [sounds]int

// share is the part of group r[s] that is sound s.
func (r cast) share(s int) float64 {
	n := 0.
	for _, k := range r {
		if k == r[s] {
			n++
		}
	}
	return 1 / n
}

// orders are all ways to give the same groups to the sounds of a table. Which side
// comes first makes no difference.
func (r cast) orders() (out []cast) {
	for a := range sounds {
		for b := range sounds {
			for c := range sounds {
				if a == b || a == c || b == c {
					continue
				}
				o := cast{r[a], r[b], r[c], r[6-a-b-c]}
				if !slices.Contains(out, o) && !slices.Contains(out, o.mirrored()) {
					out = append(out, o)
				}
			}
		}
	}
	return out
}

// variants are the orders of a cast, and of those in which both players have one racket,
// or both halves are one sound: what was taken for the second may be another thing.
func (r cast) variants() []cast {
	out := r.orders()
	for _, o := range r.orders() {
		for _, v := range []cast{
			{o[0], o[0], o[2], o[3]}, {o[1], o[1], o[2], o[3]}, {o[0], o[1], o[2], o[2]}, {o[0], o[1], o[3], o[3]}, {o[0], o[0], o[2], o[2]},
		} {
			if !slices.Contains(out, v) && !slices.Contains(out, v.mirrored()) {
				out = append(out, v)
			}
		}
	}
	return out
}

// kinds are the groups that are taken for rackets and those for bounces.
type kinds struct{ rackets, bounces uint }

func (r cast) kinds() kinds {
	return kinds{1<<r[racket0] | 1<<r[racket1], 1<<r[bounce0] | 1<<r[bounce1]}
}

// mirrored is the same with the other side first.
func (r cast) mirrored() cast { return cast{r[1], r[0], r[3], r[2]} }

// casts lists the likeliest casts of groups that are not taken, by how often one group
// comes when the ball would be there after another. Of the same groups it lists a few
// orders.
func (g *groups) casts(most int, taken []bool) []cast {
	var free []int
	for k := range g.all {
		if !taken[k] && !g.all[k].echo {
			free = append(free, k)
		}
	}
	type scored struct {
		cast
		score float64
	}
	var all []scored
	var r cast
	for _, r[0] = range free {
		for _, r[1] = range free {
			if r[1] > r[0] {
				continue // the mirror image comes as well
			}
			for _, r[2] = range free {
				for _, r[3] = range free {
					all = append(all, scored{r, g.flights[r[0]][r[3]].nats*r.share(0) + g.flights[r[1]][r[2]].nats*r.share(1) +
						g.rises[r[2]][r[0]].nats*r.share(2) + g.rises[r[3]][r[1]].nats*r.share(3)})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	const mostOf = 4
	var casts []cast
	seen := map[cast]int{}
	for _, s := range all {
		key := s.cast
		slices.Sort(key[:])
		if seen[key] < mostOf && len(casts) < most {
			seen[key]++
			casts = append(casts, s.cast)
		}
	}
	return casts
}

// pace is how long a ball takes from one group's thing to another's, if it does.
type pace struct {
	gap
	nats float64 // by which the one's moments make those of the other likelier, as frequent as they are round there
}

// paces finds, of each group and each other one, the time after which the one is followed
// by the other, near a usual one.
func (g *groups) paces(usual gap) [][]pace {
	out := make([][]pace, len(g.all))
	for i := range g.all {
		out[i] = make([]pace, len(g.all))
		for j := range g.all {
			out[i][j] = paceOf(g.all[i].at, g.all[j].at, usual)
		}
	}
	return out
}

// paceOf is the pace at which one series of moments follows another best.
func paceOf(from, to []float64, usual gap) pace {
	const (
		often = .7  // a chance
		near  = 1.5 // seconds
		same  = .2  // spread of the time in one clip, of the logarithm
		reach = 2.5 // of the usual spread
		odd   = 3   // nats that one such spread off the usual costs
	)
	type later struct{ dt, ln, random float64 } // seconds, their logarithm, how many come there a second
	all := make([][]later, len(from))
	for i, t := range from {
		round := sort.SearchFloat64s(to, t+near) - sort.SearchFloat64s(to, t-near)
		random := (float64(round) + .5) / (2 * near)
		for k := sort.SearchFloat64s(to, t+soonest); k < len(to) && to[k] < t+1; k++ {
			all[i] = append(all[i], later{to[k] - t, math.Log(to[k] - t), random})
		}
	}
	best := pace{usual, math.Inf(-1)}
	for z := -reach; z <= reach; z += same / usual.sd {
		p := pace{gap{usual.mean + z*usual.sd, same}, -odd * z * z}
		for _, after := range all {
			sum := 1 - often
			for _, l := range after {
				sum += often * p.density(l.dt, l.ln) / l.random
			}
			p.nats += math.Log(sum)
		}
		if p.nats > best.nats {
			best = p
		}
	}
	return best
}

// paced gives a model the times that a ball takes between the groups of a cast.
func (g *groups) paced(m *model, r cast) {
	for k := range m.steps {
		switch st := &m.steps[k]; {
		case st.flies():
			st.gap = g.flights[r[st.from]][r[st.to]].gap
		case st.rises() || (st.from == second0 || st.from == second1) && st.to == st.from-second0:
			st.gap = g.rises[r[st.from.sound()]][r[st.to]].gap
		}
	}
}

// rhythm is how much likelier the moments of the groups are with the play of a cast than
// at random, nats. It changes the times of m, which is [common] else.
func (g *groups) rhythm(l *lattice, m *model, r cast) float64 {
	g.paced(m, r)
	l.prepare(m)
	l.begin(m, g.thin)
	for i, like := range g.like {
		var fits [sounds + 1]float64
		for s, k := range r {
			fits[s] = like[k] - g.noise[i]
		}
		fits[sounds] = math.Inf(-1)
		l.add(m, i, g.noise[i], &fits)
	}
	return l.passForward(m, g.thin)
}

// best is the cast whose play makes the moments likeliest, of the likeliest ones and those
// that come of them by changing one group after the other. found is false where no play
// is likelier than chance.
func (g *groups) best(l *lattice, m *model, taken []bool) (best cast, found bool) {
	// Another group in one place has to make it clearly likelier: it is often another
	// table's.
	const clearly, nats = 1.1, 2
	highest, bound := 0.0, 0.0
	try := func(r cast) bool {
		v := g.rhythm(l, m, r) + g.near(r)
		if v <= bound {
			return false
		}
		best, highest = r, v
		bound = v
		return true
	}
	for _, r := range g.casts(mostCasts, taken) {
		try(r)
	}
	if highest == 0 {
		return best, false
	}
	for better := true; better; {
		better = false
		bound = clearly*highest + nats
		for s := range best {
			for k := range g.all {
				if r := best; !taken[k] && !g.all[k].echo && k != r[s] {
					r[s] = k
					better = try(r) || better
				}
			}
		}
	}
	return best, true
}

// near is how likely it is that the two sides of a table are heard so differently near,
// logarithm. The spreads are of our own, no source: wider than what the invented halls
// come to, where the microphone stands at most beside one player.
func (g *groups) near(r cast) float64 {
	const rackets, halves = 1.3, 1. // spread, nats
	near := func(s state) float64 { return nearness(&g.all[r[s]].mean) }
	a, b := (near(racket0)-near(racket1))/rackets, (near(bounce0)-near(bounce1))/halves
	return -.5*a*a - .5*b*b
}

// start is a model with the sounds of a cast; all other groups are clutter.
func (g *groups) start(r cast) model {
	m := common()
	m.loud, m.rate = g.loud, (g.count+5)/(g.heard+1)
	g.paced(&m, r)
	rest := 1.
	var others mixture
	for k := range g.all {
		if !slices.Contains(r[:], k) {
			others = append(others, g.all[k].clutter(m.loud, g.count))
			rest -= others[len(others)-1].share
		}
	}
	for _, c := range clutterClasses() {
		m.clutter = append(m.clutter, part{c.share * max(rest, .1), c.class, c.at(m.loud)})
	}
	m.clutter = append(m.clutter, others...)
	var t tallies
	for s, k := range r {
		t.sounds[s] = g.all[k].moments
		t.sounds[s].scale(r.share(s))
	}
	m.learnSounds(&t, racket0)
	m.learnSounds(&t, bounce0)
	m.spoil()
	m.besides(false)
	return m
}

// release takes the groups out of the clutter of a reading that are its own play: that
// are taken for it, sound like it, or are heard nearer than the farther side (the table
// that is filmed is the nearest).
func (g *groups) release(r *reading, cs []candidate) {
	const enough = .3 // a share
	contact := map[float64]float64{}
	for i := range cs {
		contact[cs[i].at] = r.beliefs[i].contact()
	}
	m := &r.model
	farthest := math.Inf(1)
	for s := range m.sounds {
		farthest = min(farthest, nearness(&m.sounds[s].mean))
	}
	m.clutter = m.clutter[:len(clutterClasses())]
	for k := range g.all {
		p := &g.all[k]
		taken := 0.
		for _, at := range p.at {
			taken += contact[at] / float64(len(p.at))
		}
		if p.echo || taken < enough && nearness(&p.mean) < farthest && !m.knows(p) {
			m.clutter = append(m.clutter, p.clutter(m.loud, g.count))
		}
	}
}

// knows reports whether a group has the timbre of one of the sounds of play.
func (m *model) knows(p *group) bool {
	const same, softer = .9, 3 // nats, squared; nats
	c := contactClass()
	for s := range m.sounds {
		square, level := timbres(&p.mean, &m.sounds[s].mean)
		if square-c.chance(1/p.n) < same && math.Abs(level) < softer {
			return true
		}
	}
	return false
}

// nearness is how loud and how direct a sound is, nats: of what comes from farther off,
// less is direct and more is the room's.
func nearness(mean *[features]float64) float64 {
	power := math.Inf(-1)
	for l := range levels {
		power = logAdd(power, mean[l])
	}
	return power - .5*mean[room]
}
