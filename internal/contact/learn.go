package contact

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// How firmly what is known before holds against what a clip shows, as a number
// of observations. Chosen by TestTable on the tuning seeds.
const (
	firmNext    = 40
	firmGap     = 6
	firmSound   = 4
	firmSpread  = 12
	firmClutter = 30
)

// shapes of the two kinds and of clutter, nats a band below the loudest band,
// then the decays and the sharpness: what the tuning seeds have in common,
// widened to leave room for other halls.
func shapes() (racket, bounce, clutter [features]float64) {
	racket = [features]float64{-4, -2.5, -.5, 0, -3, -2.5, -2, -4, -.1}
	bounce = [features]float64{0, -.3, -1.2, -4.5, -7, -5, -3, -4, -.1}
	clutter = [features]float64{-1, -1, -1, -2, -4, -4, -1.3, -1.2, .1}
	return racket, bounce, clutter
}

// loudness is the level of the window's louder candidates: the ninth decile of
// their loudest bands.
func loudness(cs []candidate) float64 {
	tops := make([]float64, len(cs))
	for i := range cs {
		tops[i] = slices.Max(cs[i].x[:bands])
	}
	slices.Sort(tops)
	return tops[len(tops)*9/10]
}

// begin gives a model its first idea of the sounds.
func (m *model) begin(cs []candidate) {
	loud := loudness(cs)
	racket, bounce, clutter := shapes()
	for s := range states {
		shape := bounce
		if s.racket() {
			shape = racket
		}
		m.sounds[s] = newGauss(prior(shape, loud-.5, 1.2, .35, 1))
	}
	m.clutter = newGauss(prior(clutter, loud-3, 2, .5, 1.2))
}

// learn moves the model to what was counted. sided says whether the two sides
// may come apart; until then both learn from both.
func (m *model) learn(t *tallies, cs []candidate, sided bool) {
	loud := loudness(cs)
	racket, bounce, clutter := shapes()
	m.learnSounds(t, racket0, racket, loud, sided)
	m.learnSounds(t, bounce0, bounce, loud, sided)

	mean, cov := prior(clutter, loud-3, 2, .5, 1.2)
	m.clutter = blend(&t.clutter, mean, cov, firmClutter, firmClutter)
	m.rate = (t.clutter.n + 5) / (t.heard + 1)
	m.learnPlay(t, sided)
}

// learnSounds fits the two sides of one kind: a mean each, one spread for both.
func (m *model) learnSounds(t *tallies, first state, shape [features]float64, loud float64, sided bool) {
	mean, cov := prior(shape, loud-.5, 1.2, .35, 1)
	a, b := &t.sounds[first], &t.sounds[first+1]
	if !sided {
		both := *a
		both.merge(b)
		g := blend(&both, mean, cov, firmSound, firmSpread)
		m.sounds[first], m.sounds[first+1] = g, g
		return
	}
	// A side that was hardly heard leans on the other one.
	both := *a
	both.merge(b)
	common := both.towards(mean, firmSound)
	means := [2][features]float64{a.towards(common, firmSound), b.towards(common, firmSound)}
	spread := mat.NewSymDense(features, nil)
	for i := range features {
		for j := range i + 1 {
			v := firmSpread * cov.At(i, j) * tight
			for side, x := range []*moments{a, b} {
				v += x.about(means[side], i, j)
			}
			spread.SetSym(i, j, v/(both.n+firmSpread))
		}
	}
	for side := range 2 {
		m.sounds[first+state(side)] = newGauss(means[side], spread)
	}
}

// tight shrinks the first idea's wide spread to that of one racket in one clip.
const tight = .35

func (m *moments) merge(o *moments) {
	m.n += o.n
	for i := range features {
		m.sum[i] += o.sum[i]
		for j := range i + 1 {
			m.sq[i][j] += o.sq[i][j]
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

func blend(m *moments, mean [features]float64, cov *mat.SymDense, firmMean, firmSpread float64) gauss {
	centre := m.towards(mean, firmMean)
	spread := mat.NewSymDense(features, nil)
	for i := range features {
		for j := range i + 1 {
			spread.SetSym(i, j, (m.about(centre, i, j)+firmSpread*cov.At(i, j)*tight)/(m.n+firmSpread))
		}
	}
	return newGauss(centre, spread)
}

// learnPlay fits what follows what, and after how long. Until the sides are
// apart both sides share what they count.
func (m *model) learnPlay(t *tallies, sided bool) {
	base := common()
	for a := range states {
		total := 0.0
		var n [end + 1]float64
		for b := range end + 1 {
			n[b] = t.next[a][b]
			if !sided {
				n[b] = (n[b] + t.next[a^1][flip(b)]) / 2
			}
			// A ball that bounces twice on one half, or comes back with all of
			// the other side unheard, is no play to be learnt.
			if b < end && state(b) == a {
				n[b] = 0
			}
			total += n[b]
		}
		for b := range end + 1 {
			m.next[a][b] = (n[b] + firmNext*base.next[a][b]) / (total + firmNext)
		}
		for b := range states {
			if a == b {
				continue
			}
			g := t.gap[a][b]
			if o := t.gap[a^1][b^1]; !sided {
				g.n, g.sum, g.sq = g.n+o.n, g.sum+o.sum, g.sq+o.sq
			}
			p := base.gaps[a][b]
			mean := (g.sum + firmGap*p.mean) / (g.n + firmGap)
			about := g.sq - 2*mean*g.sum + g.n*mean*mean
			m.gaps[a][b] = gap{mean, math.Sqrt((about + firmGap*p.sd*p.sd) / (g.n + firmGap))}
		}
	}
}

func flip(b int) int {
	if b == end {
		return b
	}
	return b ^ 1
}
