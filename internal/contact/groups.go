package contact

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// group is a sound that a clip has again and again: candidates that sound alike.
type group struct {
	moments
	mean [features]float64
	gauss
	at   []float64 // of those that are most likely its own, seconds
	echo bool
}

// groups gathers sudden candidates that sound alike, without regard to when they come.
type groups struct {
	all   []group
	loud  float64
	broad mixture
	heard float64
	count float64
	thin  []candidate // those of the groups that are no echo
	noise []float64   // of each of thin, how likely it is at random, logarithm
	like  [][]float64 // and as each group
}

const (
	mostGroups  = 12
	fewestAlike = 4
	cheapest    = 12 // nats that a new group has to gain
)

func gather(cs []candidate, loud float64) groups {
	g := groups{loud: loud, count: float64(len(cs))}
	if len(cs) > 0 {
		g.heard = cs[len(cs)-1].at - cs[0].at
	}
	for _, c := range clutterClasses()[hands+1:] {
		g.broad = append(g.broad, part{c.share, c.class, c.at(loud)})
	}
	own := contactClass()
	unit := newGauss([features]float64{}, own.cov())
	var sharpOnes []int
	for i := range cs {
		if cs[i].x[suddenness] >= sharp && echoed(cs, i) == 0 {
			sharpOnes = append(sharpOnes, i)
		}
	}
	n := len(sharpOnes)
	if n == 0 {
		return g
	}
	y := make([][features]float64, n)
	now := make([]float64, n)
	for k, i := range sharpOnes {
		y[k] = unit.units(&cs[i].x)
		now[k] = g.broad.log(&cs[i].x)
	}
	const share = -3. // logarithm of a group's usual share
	like := make([][]float32, n)
	for a := range n {
		like[a] = make([]float32, n)
		for b := range a + 1 {
			q := 1.0
			for f := range features {
				d := y[a][f] - y[b][f]
				q *= 1 + d*d/(2*heavy) // the middle is not known: twice the variance
			}
			v := float32(unit.norm - .5*features*math.Ln2 - .5*(heavy+1)*math.Log(q) + share)
			like[a][b], like[b][a] = v, v
		}
	}
	for len(g.all) < mostGroups {
		best, gain := -1, float64(cheapest)
		for a := range n {
			sum := 0.0
			for b, v := range like[a] {
				if d := float64(v) - now[b]; d > 0 {
					sum += min(d, 30)
				}
			}
			if sum > gain {
				best, gain = a, sum
			}
		}
		if best < 0 {
			break
		}
		var m moments
		for b, v := range like[best] {
			if float64(v) > now[b] {
				m.add(&cs[sharpOnes[b]].x, 1)
				now[b] = float64(v)
			}
		}
		if m.n < fewestAlike {
			for b, v := range like[best] {
				_ = v
				if b == best {
					now[b] = math.Inf(1)
				}
			}
			continue
		}
		g.all = append(g.all, group{moments: m})
	}
	cov := own.cov()
	for range 6 {
		for k := range g.all {
			p := &g.all[k]
			p.mean = p.moments.mean()
			p.gauss = newGauss(p.mean, cov)
		}
		counts := make([]moments, len(g.all))
		led := make([]int, len(g.all))
		for k := range g.all {
			g.all[k].at = g.all[k].at[:0]
		}
		for _, i := range sharpOnes {
			base := g.broad.log(&cs[i].x)
			logs := make([]float64, len(g.all))
			top, best := base, -1
			for k := range g.all {
				logs[k] = math.Log(max(g.all[k].n, 1)/float64(n+1)) + g.all[k].gauss.log(&cs[i].x)
				if logs[k] > top {
					top, best = logs[k], k
				}
			}
			sum := math.Exp(base - top)
			for _, v := range logs {
				sum += math.Exp(v - top)
			}
			for k, v := range logs {
				counts[k].add(&cs[i].x, math.Exp(v-top)/sum)
			}
			if best >= 0 {
				g.all[best].at = append(g.all[best].at, cs[i].at)
				if after(cs, i) {
					led[best]++
				}
			}
		}
		for k := range g.all {
			g.all[k].moments = counts[k]
			g.all[k].echo = 2*led[k] > len(g.all[k].at)
		}
		g.all = slices.DeleteFunc(g.all, func(p group) bool { return p.n < fewestAlike })
	}
	for k := range g.all {
		p := &g.all[k]
		p.mean = p.moments.mean()
		p.gauss = newGauss(p.mean, cov)
	}
	g.merge(cov)
	member := map[float64]bool{}
	for k := range g.all {
		p := &g.all[k]
		if !p.echo {
			for _, at := range p.at {
				member[at] = true
			}
		}
	}
	for _, i := range sharpOnes {
		if member[cs[i].at] {
			g.thin = append(g.thin, cs[i])
		}
	}
	for i := range g.thin {
		x := &g.thin[i].x
		noise := g.broad.log(x) + math.Log((float64(len(g.thin))+5)/(g.heard+1))
		like := make([]float64, len(g.all))
		for k := range g.all {
			like[k] = g.all[k].gauss.log(x)
			noise = logAdd(noise, math.Log(g.all[k].n/g.heard)+like[k])
		}
		g.noise = append(g.noise, noise)
		g.like = append(g.like, like)
	}
	return g
}

// roles are groups taken for the four sounds of a table, in the order of [state].
type roles [sounds]int

// cast lists the likeliest ways to take groups for the sounds of a table: by when
// they follow each other.
func (g *groups) cast(most int, taken []bool) []roles {
	n := len(g.all)
	if n == 0 {
		return nil
	}
	follows := func(i, j int, way gap) float64 {
		const often, near = .7, 1.5
		sum := 0.0
		b := g.all[j].at
		for _, t := range g.all[i].at {
			lo := sort.SearchFloat64s(b, t-near)
			hi := sort.SearchFloat64s(b, t+near)
			local := (float64(hi-lo) + .5) / (2 * near)
			x := 0.0
			for k := sort.SearchFloat64s(b, t+.05); k < len(b) && b[k] < t+1; k++ {
				dt := b[k] - t
				x += way.density(dt, math.Log(dt))
			}
			sum += math.Log(1 - often + often*x/local)
		}
		return sum
	}
	flight, rise := gapOf(.31, .30), gapOf(.20, .35)
	S, T := make([][]float64, n), make([][]float64, n)
	for i := range n {
		S[i], T[i] = make([]float64, n), make([]float64, n)
		for j := range n {
			S[i][j], T[i][j] = follows(i, j, flight), follows(i, j, rise)
		}
	}
	type scored struct {
		roles
		score float64
	}
	var all []scored
	var r roles
	echo := func(k int) bool { return g.all[k].echo || taken[k] }
	for r[0] = range n {
		for r[1] = 0; r[1] <= r[0]; r[1]++ {
			for r[2] = range n {
				for r[3] = range n {
					if echo(r[0]) || echo(r[1]) || echo(r[2]) || echo(r[3]) {
						continue
					}
					part := func(k int) float64 {
						m := 0.
						for _, o := range r {
							if o == r[k] {
								m++
							}
						}
						return 1 / m
					}
					s := S[r[0]][r[3]]*part(0) + T[r[3]][r[1]]*part(3) + S[r[1]][r[2]]*part(1) + T[r[2]][r[0]]*part(2)
					all = append(all, scored{r, s})
				}
			}
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].score > all[b].score })
	var out []roles
	seen := map[[sounds]int]bool{}
	for _, s := range all {
		key := [sounds]int(s.roles)
		slices.Sort(key[:])
		if seen[key] {
			continue
		}
		seen[key] = true
		out = append(out, s.roles)
		if len(out) == most {
			break
		}
	}
	return out
}

// start is a model with these roles; all other groups are clutter.
func (g *groups) start(r roles) model {
	m := common()
	m.loud = g.loud
	for s := range m.sounds {
		m.sounds[s] = contactClass().at(m.loud)
	}
	m.clutter = nil
	for _, c := range clutterClasses() {
		m.clutter = append(m.clutter, part{c.share, c.class, c.at(m.loud)})
	}
	broadOnes := len(m.clutter)
	var t tallies
	for k := range g.all {
		times := 0.
		for _, o := range r {
			if o == k {
				times++
			}
		}
		if times == 0 {
			m.clutter = append(m.clutter, g.all[k].clutter(m.loud, g.count))
			continue
		}
		for s, o := range r {
			if o == k {
				x := g.all[k].moments
				x.scale(1 / times)
				t.sounds[s].merge(&x)
			}
		}
	}
	rest := 1.
	for _, p := range m.clutter[broadOnes:] {
		rest -= p.share
	}
	for k := range m.clutter[:broadOnes] {
		m.clutter[k].share *= max(rest, .1)
	}
	m.rate = (g.count + 5) / (g.heard + 1)
	m.learnSounds(&t, racket0, true)
	m.learnSounds(&t, bounce0, true)
	m.spoil()
	m.besides(false)
	return m
}

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

// after reports whether a stronger sound came just before.
func after(cs []candidate, i int) bool {
	for j := i - 1; j >= 0 && cs[i].at-cs[j].at < .075; j-- {
		if cs[j].strength > cs[i].strength {
			return true
		}
	}
	return false
}

// release takes the groups out of the clutter of a reading that are its own play.
func (g *groups) release(r *reading, cs []candidate) {
	m := &r.model
	broad := len(clutterClasses())
	at := map[float64]float64{}
	for i := range cs {
		at[cs[i].at] = r.beliefs[i].contact()
	}
	far := math.Inf(1)
	for s := range m.sounds {
		far = min(far, nearness(&m.sounds[s].mean))
	}
	kept := m.clutter[:broad:broad]
	for k := range g.all {
		p := &g.all[k]
		own := 0.
		for _, t := range p.at {
			own += at[t]
		}
		if p.echo || own < .3*float64(len(p.at)) && nearness(&p.mean) < far+NEARER {
			kept = append(kept, p.clutter(m.loud, g.count))
		}
	}
	m.clutter = kept
}

const NEARER = .5

// nearness is how loud and how direct a sound is.
func nearness(mean *[features]float64) float64 {
	l := math.Inf(-1)
	for b := range levels {
		l = logAdd(l, mean[b])
	}
	return l - .5*mean[room]
}

// loose is how often a second the sounds of these roles come, at random.
func (g *groups) loose(r roles) (out [sounds]float64) {
	for s, k := range r {
		times := 0.
		for _, o := range r {
			if o == k {
				times++
			}
		}
		out[s] = g.all[k].n / g.heard / times
	}
	return out
}

// nearness is how loud and how direct a table's sounds are.
func (m *model) nearness() float64 {
	sum := 0.
	for s := range m.sounds {
		sum += nearness(&m.sounds[s].mean) / sounds
	}
	return sum
}

// orders are all ways to give the same groups to the sounds of a table; which side is
// the first makes no difference.
func (r roles) orders() (out []roles) {
	seen := map[roles]bool{}
	for a := range sounds {
		for b := range sounds {
			for c := range sounds {
				d := 6 - a - b - c
				if a == b || a == c || b == c {
					continue
				}
				o := roles{r[a], r[b], r[c], r[d]}
				if !seen[o] && !seen[roles{o[1], o[0], o[3], o[2]}] {
					seen[o] = true
					out = append(out, o)
				}
			}
		}
	}
	return out
}

// rhythm is how much likelier the moments of the groups are when they are taken for these
// sounds of a table than at random, nats. l is prepared for m.
func (g *groups) rhythm(l *lattice, m *model, r roles) float64 {
	l.begin(m, g.thin)
	for i, like := range g.like {
		noise := g.noise[i]
		var fits [sounds + 1]float64
		for s, k := range r {
			fits[s] = like[k] - noise
		}
		fits[sounds] = math.Inf(-1)
		l.add(i, noise, &fits)
	}
	return l.passForward(m, g.thin)
}

// merge makes one of groups that sound alike but for how loud they are: hard and soft
// hits of one thing.
func (g *groups) merge(cov *mat.SymDense) {
	for {
		bestA, bestB, least := -1, -1, MERGE
		for a := range g.all {
			for b := range a {
				if d := g.apart(a, b, cov); d < least && !g.all[a].echo && !g.all[b].echo {
					bestA, bestB, least = a, b, d
				}
			}
		}
		if bestA < 0 {
			return
		}
		p, q := &g.all[bestB], &g.all[bestA]
		p.moments.merge(&q.moments)
		p.at = append(p.at, q.at...)
		slices.Sort(p.at)
		p.mean = p.moments.mean()
		c := contactClass()
		p.gauss = newGauss(p.mean, c.spread(50, []*moments{&p.moments}, p.mean))
		g.all = slices.Delete(g.all, bestA, bestA+1)
	}
}

var MERGE = .35

// apart is the mean square by which the timbre of two groups differs beyond chance.
func (g *groups) apart(a, b int, cov *mat.SymDense) float64 {
	p, q := &g.all[a], &g.all[b]
	level := 0.
	for i := range levels {
		level += (p.mean[i] - q.mean[i]) / levels
	}
	if math.Abs(level) > 2 || math.Abs(p.mean[room]-q.mean[room]) > .8 {
		return math.Inf(1)
	}
	sum := 0.
	for i := range levels {
		d := p.mean[i] - q.mean[i] - level
		sum += (d*d - .6*cov.At(i, i)*(1/p.n+1/q.n)) / levels
	}
	return sum
}
