package contact

import "math"

// belief is what a decoding makes of one candidate: the chance of each state.
// What is left to one is the chance of its being clutter.
type belief [states]float64

func (b *belief) contact() float64 { return min(1, b[0]+b[1]+b[2]+b[3]) }
func (b *belief) racket() float64  { return b[racket0] + b[racket1] }
func (b *belief) side(s int) float64 {
	return b[racket0+state(s)] + b[bounce0+state(s)]
}

// tallies is what a decoding counted, all weighted by belief.
type tallies struct {
	next     [states][end + 1]float64
	gap      [states][states]struct{ n, sum, sq float64 }
	sounds   [states]moments
	clutter  moments
	heard    float64 // seconds
	contacts float64
}

// lattice is the workspace of a decoding, kept from one to the next.
type lattice struct {
	fit     [][states]float64 // density of a state against that of clutter, logarithm
	forward [][states]float64
	back    [][states]float64
	idle    []float64 // forward: no play runs just before candidate i
	idleOut []float64 // backward: no play runs just after candidate i
}

func (l *lattice) size(n int) {
	if cap(l.fit) < n+1 {
		l.fit = make([][states]float64, n+1)
		l.forward = make([][states]float64, n+1)
		l.back = make([][states]float64, n+1)
		l.idle = make([]float64, n+1)
		l.idleOut = make([]float64, n+1)
	}
	l.fit, l.forward, l.back = l.fit[:n+1], l.forward[:n+1], l.back[:n+1]
	l.idle, l.idleOut = l.idle[:n+1], l.idleOut[:n+1]
}

// hopeless is how much better clutter explains a candidate that is passed over
// without further thought (nats).
const hopeless = 25

// decode finds the chance of every candidate being each kind of contact, summed
// over all ways in which plays could run through the candidates (forward and
// backward passes over a hidden semi-Markov chain: a play skips any number of
// candidates, which then are clutter). It counts into t if t is not nil.
//
// Everything is relative to the explanation that all candidates are clutter,
// which come at random at m.rate a second; so clutter itself costs nothing.
func (l *lattice) decode(m *model, cs []candidate, t *tallies) []belief {
	n := len(cs)
	l.size(n)
	rate := math.Log(m.rate)
	alive := make([]bool, n)
	for i := range cs {
		c := &cs[i]
		noise := m.clutter.log(&c.x) + rate
		for s := range states {
			l.fit[i][s] = m.sounds[s].log(&c.x) - noise
			alive[i] = alive[i] || l.fit[i][s] > -hopeless
		}
	}
	var start, stop [states]float64
	var next [states][states]float64
	for a := range states {
		start[a] = math.Log(m.start[a] * m.plays)
		stop[a] = math.Log(m.next[a][end])
		for b := range states {
			next[a][b] = math.Log(m.next[a][b])
		}
	}

	// Forward. idle[i] sums over all that ends before candidate i.
	idle := newSum()
	for i := range n {
		l.idle[i] = logAdd(0, idle.log())
		for s := range states {
			l.forward[i][s] = math.Inf(-1)
		}
		if !alive[i] {
			continue
		}
		var in [states]sum
		for s := range states {
			in[s] = newSum()
			in[s].add(l.idle[i] + start[s])
		}
		for j := i - 1; j >= 0; j-- {
			dt := cs[i].at - cs[j].at
			if dt > longest {
				break
			}
			if !alive[j] || dt < closest {
				continue
			}
			ln := math.Log(dt)
			for a := range states {
				f := l.forward[j][a]
				if math.IsInf(f, -1) {
					continue
				}
				for b := range states {
					in[b].add(f + next[a][b] + m.gaps[a][b].log(ln))
				}
			}
		}
		for s := range states {
			l.forward[i][s] = in[s].log() + l.fit[i][s]
			idle.add(l.forward[i][s] + stop[s])
		}
	}
	whole := logAdd(0, idle.log())

	// Backward. idleOut[i] sums over all that begins after candidate i.
	begun := newSum()
	for i := n - 1; i >= 0; i-- {
		l.idleOut[i] = logAdd(0, begun.log())
		for s := range states {
			l.back[i][s] = math.Inf(-1)
		}
		if !alive[i] {
			continue
		}
		var out [states]sum
		for s := range states {
			out[s] = newSum()
			out[s].add(l.idleOut[i] + stop[s])
		}
		for j := i + 1; j < n; j++ {
			dt := cs[j].at - cs[i].at
			if dt > longest {
				break
			}
			if !alive[j] || dt < closest {
				continue
			}
			ln := math.Log(dt)
			for a := range states {
				for b := range states {
					v := next[a][b] + m.gaps[a][b].log(ln) + l.fit[j][b] + l.back[j][b]
					out[a].add(v)
					if t != nil {
						w := math.Exp(l.forward[i][a] + v - whole)
						if w > 1e-6 {
							t.next[a][b] += w
							g := &t.gap[a][b]
							g.n += w
							g.sum += w * ln
							g.sq += w * ln * ln
						}
					}
				}
			}
		}
		for s := range states {
			l.back[i][s] = out[s].log()
			begun.add(start[s] + l.fit[i][s] + l.back[i][s])
			if t != nil {
				t.next[s][end] += math.Exp(l.forward[i][s] + stop[s] + l.idleOut[i] - whole)
			}
		}
	}

	beliefs := make([]belief, n)
	for i := range cs {
		if alive[i] {
			for s := range states {
				beliefs[i][s] = math.Exp(l.forward[i][s] + l.back[i][s] - whole)
			}
		}
		if t != nil {
			for s := range states {
				if w := beliefs[i][s]; w > 1e-6 {
					t.sounds[s].add(&cs[i].x, w)
				}
			}
			w := max(0, 1-beliefs[i].contact())
			t.clutter.add(&cs[i].x, w)
			t.contacts += beliefs[i].contact()
		}
	}
	if t != nil && n > 0 {
		t.heard += cs[n-1].at - cs[0].at
	}
	return beliefs
}

// sum adds numbers that are given by their logarithms.
type sum struct{ top, rest float64 }

func newSum() sum { return sum{math.Inf(-1), 0} }

func (s *sum) add(v float64) {
	switch {
	case math.IsInf(v, -1):
	case v <= s.top:
		if v > s.top-30 {
			s.rest += math.Exp(v - s.top)
		}
	default:
		s.rest = s.rest*math.Exp(s.top-v) + 1
		s.top = v
	}
}

func (s *sum) log() float64 {
	if s.rest == 0 {
		return math.Inf(-1)
	}
	return s.top + math.Log(s.rest)
}

func logAdd(a, b float64) float64 {
	s := newSum()
	s.add(a)
	s.add(b)
	return s.log()
}
