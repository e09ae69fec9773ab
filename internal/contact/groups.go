package contact

import (
	"math"
	"slices"
)

// group is a sound that a clip has again and again: candidates that sound alike.
type group struct {
	moments
	mean [features]float64
	gauss
	at   []float64 // of those that are most likely its own, seconds, in order
	echo bool      // most of them come just after a stronger sound
}

// groups are the sounds of a clip, gathered without regard to when they come.
type groups struct {
	all   []group
	broad mixture // all that belongs to no group
	loud  float64 // as in [model]
	count float64 // candidates of the clip
	heard float64 // seconds

	flights, rises [][]pace // from rackets to bounces and from bounces to rackets

	thin  []candidate // those of the groups that are no echo
	noise []float64   // of each of thin, how likely it is at a random moment, logarithm
	like  [][]float64 // of each of thin, how likely it is as each group
}

// Constants of the gathering, chosen on the tuning seeds of BenchmarkAnyHall.
const (
	mostGroups  = 12
	fewestAlike = 5  // candidates
	leastGain   = 12 // nats by which a group makes the clip likelier
	usualShare  = .05
	oneThing    = .35 // mean square in nats by which hits of one thing differ in timbre
)

// gather parts the sudden candidates by their sound.
func gather(cs []candidate) groups {
	g := groups{loud: loudness(cs), count: float64(len(cs)), heard: cs[len(cs)-1].at - cs[0].at + 1}
	for _, c := range clutterClasses()[hands+1:] {
		g.broad = append(g.broad, part{c.share, c.class, c.at(g.loud)})
	}
	var sudden []candidate
	var late []bool // just after a stronger sound
	for i := range cs {
		if cs[i].x[suddenness] >= sharp && echoed(cs, i) == 0 {
			sudden = append(sudden, cs[i])
			late = append(late, follows(cs, i))
		}
	}
	g.seed(sudden)
	const rounds = 6
	for range rounds {
		g.assign(sudden, late)
	}
	g.describe()
	g.merge()
	g.thinOut(sudden)
	g.flights, g.rises = g.paces(usualFlight()), g.paces(usualRise())
	return g
}

// follows reports whether a stronger sound came just before.
func follows(cs []candidate, i int) bool {
	const within = .075 // seconds
	for j := i - 1; j >= 0 && cs[i].at-cs[j].at < within; j-- {
		if cs[j].strength > cs[i].strength {
			return true
		}
	}
	return false
}

// seed begins groups one by one round the candidate that has most others like it.
func (g *groups) seed(sudden []candidate) {
	unit := newGauss([features]float64{}, contactClass().cov())
	y := make([][features]float64, len(sudden))
	now := make([]float64, len(sudden)) // what explains each so far, logarithm
	for i := range sudden {
		y[i] = unit.units(&sudden[i].x)
		now[i] = g.broad.log(&sudden[i].x)
	}
	like := make([][]float32, len(sudden))
	for a := range like {
		like[a] = make([]float32, len(sudden))
		for b := range a + 1 {
			q := 1.0
			for f := range features {
				d := y[a][f] - y[b][f]
				q *= 1 + d*d/(2*heavy) // neither is the middle: twice the variance
			}
			v := float32(math.Log(usualShare) + unit.norm - .5*features*math.Ln2 - .5*(heavy+1)*math.Log(q))
			like[a][b], like[b][a] = v, v
		}
	}
	for len(g.all) < mostGroups {
		const most = 30 // nats that one candidate can speak for a group
		best, gain := -1, float64(leastGain)
		for a := range like {
			sum := 0.0
			for b, v := range like[a] {
				sum += max(0, min(most, float64(v)-now[b]))
			}
			if sum > gain {
				best, gain = a, sum
			}
		}
		if best < 0 {
			return
		}
		var m moments
		for b, v := range like[best] {
			if float64(v) > now[b] {
				m.add(&sudden[b].x, 1)
				now[b] = float64(v)
			}
		}
		now[best] = math.Inf(1)
		if m.n >= fewestAlike {
			g.all = append(g.all, group{moments: m})
		}
	}
}

// describe finds where each group's sounds lie.
func (g *groups) describe() {
	cov := contactClass().cov()
	for k := range g.all {
		p := &g.all[k]
		p.mean = p.moments.mean()
		p.gauss = newGauss(p.mean, cov)
	}
}

// assign gives each candidate to the groups as likely as it is theirs.
func (g *groups) assign(sudden []candidate, late []bool) {
	g.describe()
	counts := make([]moments, len(g.all))
	after := make([]int, len(g.all))
	for k := range g.all {
		g.all[k].at = g.all[k].at[:0]
	}
	logs := make([]float64, len(g.all))
	for i := range sudden {
		x := &sudden[i].x
		most, best := g.broad.log(x), -1
		whole := most
		for k := range g.all {
			logs[k] = math.Log(g.all[k].n/float64(len(sudden)+1)) + g.all[k].log(x)
			whole = logAdd(whole, logs[k])
			if logs[k] > most {
				most, best = logs[k], k
			}
		}
		for k, v := range logs {
			counts[k].add(x, math.Exp(v-whole))
		}
		if best >= 0 {
			g.all[best].at = append(g.all[best].at, sudden[i].at)
			if late[i] {
				after[best]++
			}
		}
	}
	for k := range g.all {
		g.all[k].moments = counts[k]
		g.all[k].echo = 2*after[k] > len(g.all[k].at)
	}
	g.all = slices.DeleteFunc(g.all, func(p group) bool { return p.n < fewestAlike })
}

// merge makes one of groups that differ in nothing but how loud they are: hard and
// soft hits of one thing.
func (g *groups) merge() {
	c := contactClass()
	for {
		first, second, least := 0, 0, float64(oneThing)
		for b := range g.all {
			for a := range b {
				if d := g.apart(a, b, &c); d < least && !g.all[a].echo && !g.all[b].echo {
					first, second, least = a, b, d
				}
			}
		}
		if first == second {
			return
		}
		const firm = 50 // as firmSpread
		p := &g.all[first]
		p.moments.merge(&g.all[second].moments)
		p.at = slices.Sorted(slices.Values(slices.Concat(p.at, g.all[second].at)))
		p.mean = p.moments.mean()
		p.gauss = newGauss(p.mean, c.spread(firm, []*moments{&p.moments}, p.mean))
		g.all = slices.Delete(g.all, second, second+1)
	}
}

// apart is the mean square by which the timbre of two groups differs beyond chance,
// however loud they are.
func (g *groups) apart(a, b int, c *class) float64 {
	p, q := &g.all[a], &g.all[b]
	const louder, farther = 2, .8 // nats: more is not one thing at one place
	square, level := timbres(&p.mean, &q.mean)
	if math.Abs(level) > louder || math.Abs(p.mean[room]-q.mean[room]) > farther {
		return math.Inf(1)
	}
	return square - c.chance(1/p.n+1/q.n)
}

// timbres is the mean square by which the levels of two sounds differ beside the mean
// by which they do, and that mean, nats.
func timbres(a, b *[features]float64) (square, level float64) {
	for l := range levels {
		level += (a[l] - b[l]) / levels
	}
	for l := range levels {
		square += (a[l] - b[l] - level) * (a[l] - b[l] - level) / levels
	}
	return square, level
}

// chance is what [timbres] comes to for means of one and the same class, if the
// variance of their difference is so many times that within a clip. What the levels
// have in common is no difference of timbre: a part of the spread is left.
func (c *class) chance(variance float64) (square float64) {
	const part = .6
	for _, sd := range c.within[:levels] {
		square += part * variance * sd * sd / levels
	}
	return square
}

// thinOut keeps the candidates of groups that are no echo, with what is known of each.
func (g *groups) thinOut(sudden []candidate) {
	member := map[float64]bool{}
	for _, p := range g.all {
		for _, at := range p.at {
			member[at] = member[at] || !p.echo
		}
	}
	g.thin = slices.DeleteFunc(sudden, func(c candidate) bool { return !member[c.at] })
	for i := range g.thin {
		x := &g.thin[i].x
		noise := g.broad.log(x) + math.Log(g.rate())
		like := make([]float64, len(g.all))
		for k := range g.all {
			like[k] = g.all[k].log(x)
			noise = logAdd(noise, math.Log(g.all[k].n/g.heard)+like[k])
		}
		g.noise = append(g.noise, noise)
		g.like = append(g.like, like)
	}
}

// rate is the number of thin candidates a second.
func (g *groups) rate() float64 { return (float64(len(g.thin)) + 5) / (g.heard + 1) }

// clutter is a group as one kind of clutter.
func (p *group) clutter(loud, count float64) part {
	c := contactClass()
	c.centre = p.mean
	for i := range c.centre {
		if i < levels {
			c.centre[i] -= loud
		}
		c.between[i] = c.within[i] / 2
	}
	return part{p.n / count, c, p.gauss}
}
