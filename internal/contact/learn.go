package contact

import (
	"math"
	"slices"
)

// How firmly what is known before holds against what a clip shows, as a number
// of observations. Chosen by TestTable on the tuning seeds.
const (
	firmNext    = 40
	firmGap     = 6
	firmTempo   = 4
	firmSide    = 5
	firmSpread  = 100
	firmClutter = 40
)

// loudness is the level of the clip's louder sudden sounds: the ninth decile of
// the loudest bands of the candidates that rise like a contact.
func loudness(cs []candidate) float64 {
	tops := make([]float64, 0, len(cs))
	for _, sudden := range []float64{sharp, math.Inf(-1)} {
		for i := range cs {
			if cs[i].x[suddenness] >= sudden {
				tops = append(tops, slices.Max(cs[i].x[:levels]))
			}
		}
		if len(tops) > 0 {
			break
		}
	}
	slices.Sort(tops)
	return tops[len(tops)*9/10]
}

// sharp is a suddenness that contacts have.
const sharp = 1.8

// besides says whether sounds beside the play may keep a rhythm of their own.
func (m *model) besides(may bool) {
	base := common()
	for s := pat0; s < states; s++ {
		m.start[s] = 0
		if may {
			m.start[s] = base.start[s]
		}
	}
}

// never stands for a chance of nothing where a logarithm is taken.
const never = 1e-9

// learn moves the model to what was counted.
func (m *model) learn(t *tallies) {
	m.learnSounds(t, racket0)
	m.learnSounds(t, bounce0)
	m.spoil()
	all := 0.0
	for i := range t.clutter {
		all += t.clutter[i].n
	}
	for i := range m.clutter {
		p := &m.clutter[i]
		p.share = (t.clutter[i].n + 1) / (all + float64(len(m.clutter)))
		mean := p.class.mean(&t.clutter[i], m.loud)
		p.gauss = newGauss(mean, p.class.spread(firmClutter, []*moments{&t.clutter[i]}, mean))
	}
	m.rate = (t.stray + 5) / (t.heard + 1)
	m.learnPlay(t)
}

// learnSounds fits the two sides of one kind: a mean each, one spread for both.
// A side that was hardly heard leans on the other one.
func (m *model) learnSounds(t *tallies, first state) {
	c := contactClass()
	a, b := &t.sounds[first], &t.sounds[first+1]
	both := *a
	both.merge(b)
	common := c.mean(&both, m.loud)
	means := [][features]float64{a.towards(common, firmSide), b.towards(common, firmSide)}
	spread := c.spread(firmSpread, []*moments{a, b}, means...)
	for side := range 2 {
		m.sounds[first+state(side)] = newGauss(means[side], spread)
	}
}

func (m *moments) merge(o *moments) {
	m.n += o.n
	for i := range features {
		m.sum[i] += o.sum[i]
		for j := range i + 1 {
			m.sq[i][j] += o.sq[i][j]
		}
	}
}

func (m *moments) scale(by float64) {
	m.n *= by
	for i := range features {
		m.sum[i] *= by
		for j := range i + 1 {
			m.sq[i][j] *= by
		}
	}
}

// towards is the mean, drawn to prior as by firm observations of it.
func (m *moments) towards(prior [features]float64, firm float64) (out [features]float64) {
	for i := range out {
		out[i] = (m.sum[i] + firm*prior[i]) / (m.n + firm)
	}
	return out
}

// about is the sum of products of deviations from mean.
func (m *moments) about(mean [features]float64, i, j int) float64 {
	return m.sq[i][j] - mean[i]*m.sum[j] - mean[j]*m.sum[i] + m.n*mean[i]*mean[j]
}

// learnPlay fits what follows what, and after how long.
func (m *model) learnPlay(t *tallies) {
	base := common()
	var total [states]float64
	for s := range total {
		total[s] += t.stop[s]
	}
	for k := range m.steps {
		total[m.steps[k].from] += t.steps[k].n
	}
	for s := range states {
		m.stop[s] = (t.stop[s] + firmNext*base.stop[s]) / (total[s] + firmNext)
	}
	for k := range m.steps {
		c, p := t.steps[k], base.steps[k]
		if p.chance == 0 {
			continue
		}
		m.steps[k].chance = (c.n + firmNext*p.chance) / (total[p.from] + firmNext)
		if p.unheard {
			m.steps[k].chance = min(m.steps[k].chance, p.chance)
			continue
		}
		centre := max((c.sum+firmTempo*p.gap.mean)/(c.n+firmTempo), math.Log(1.8*soonest))
		about := c.sq - 2*centre*c.sum + c.n*centre*centre
		m.steps[k].gap = gap{centre, math.Sqrt((about + firmGap*p.gap.sd*p.gap.sd) / (c.n + firmGap))}
	}
}

// strange is the most that one odd tempo speaks against a play, nats.
const strange = 12

// plausible is the logarithm of how likely the model's play is before a clip is
// heard, beside that of a usual one.
func (m *model) plausible() float64 {
	base := common()
	sum := 0.0
	for s := range states {
		if p := base.stop[s]; p > 0 && m.stop[s] > 0 {
			sum += firmNext * p * math.Log(m.stop[s]/p)
		}
	}
	for k := range m.steps {
		p, q := &base.steps[k], &m.steps[k]
		if p.chance == 0 || q.chance == 0 {
			continue
		}
		sum += firmNext * p.chance * math.Log(q.chance/p.chance)
		z := (q.gap.mean - p.gap.mean) / p.gap.sd
		sum -= min(strange, firmTempo*.5*z*z)
		z = math.Log(q.gap.sd / p.gap.sd) // as wide as a factor of e
		sum -= .5 * z * z
	}
	return sum
}
