package contact

import (
	"math"
	"slices"
)

// belief is what a decoding makes of one candidate: the chance of each sound in
// play, and of sounds with a rhythm of their own. What is left to one is the
// chance of its being stray clutter.
type belief struct {
	sound [sounds]float64
	hands float64 // claps, and whatever else beats time
	pat   float64
}

// hands is the kind of clutter that keeps a rhythm.
const hands = 0

func (b *belief) contact() float64 {
	return min(1, b.sound[0]+b.sound[1]+b.sound[2]+b.sound[3])
}

func (b *belief) stray() float64 {
	return max(0, 1-b.contact()-b.pat-b.hands)
}

// most is the likeliest sound of play.
func (b *belief) most() int {
	best := 0
	for s, v := range b.sound {
		if v > b.sound[best] {
			best = s
		}
	}
	return best
}

func (b *belief) racket() float64 { return b.sound[racket0] + b.sound[racket1] }

func (b *belief) isRacket() bool { return b.racket() > b.contact()/2 }

func (b *belief) side(s int) float64 {
	return b.sound[racket0+state(s)] + b.sound[bounce0+state(s)]
}

// tallies is what a decoding counted, all weighted by belief.
type tallies struct {
	steps   []struct{ n, sum, sq float64 } // as in model; sums of ln seconds
	stop    [states]float64
	sounds  [sounds]moments
	clutter []moments // as in model
	stray   float64
	heard   float64 // seconds
}

// remembered is how many contacts of a kind a memory counts for at most: enough
// to know the players again after a pause, few enough to follow a change.
const remembered = 60

// recall adds the sounds of a memory to what was counted.
func (t *tallies) recall(memory *tallies) {
	for s := range t.sounds {
		t.sounds[s].merge(&memory.sounds[s])
	}
}

// keep makes seen a part of the memory t.
func (t *tallies) keep(seen *tallies) {
	for s := range t.sounds {
		m := &t.sounds[s]
		m.merge(&seen.sounds[s])
		if m.n > remembered {
			m.scale(remembered / m.n)
		}
	}
}

// scaled is a value for each state times e to the power of log.
type scaled struct {
	log float64
	at  [states]float64
}

// settle brings the largest value to 1. A value that is 0 throughout stays out
// of every sum.
func (v *scaled) settle() {
	top := 0.0
	for _, x := range v.at {
		top = max(top, x)
	}
	if top == 0 {
		v.log = math.Inf(-1)
		return
	}
	for s := range v.at {
		v.at[s] /= top
	}
	v.log += math.Log(top)
}

// lattice is the workspace of a decoding, kept from one to the next.
type lattice struct {
	alive   []int    // candidates that clutter does not plainly explain better
	fit     []scaled // density of each state against that of clutter
	forward []scaled
	back    []scaled
	idle    []float64         // of no play running just before a candidate, logarithm
	parts   []float64         // of each candidate and kind of clutter, logarithm
	clear   [][sounds]float64 // chance that a candidate is not spoilt, as each sound
	table   [][]float64
	noise   float64 // logarithm of the chance that all is clutter
	whole   float64 // and of everything, beside that
}

const (
	// hopeless is how much better clutter explains a candidate that is passed
	// over without further thought (nats).
	hopeless = 14
	// grain of the table of gaps, seconds.
	grain = .002
	// slight is a chance below which a step is not counted.
	slight = 1e-5
)

// prepare tabulates chance times density of every step for every gap.
func (l *lattice) prepare(m *model) {
	if l.table == nil {
		l.table = make([][]float64, int(longest/grain)+2)
		for i := range l.table {
			l.table[i] = make([]float64, len(m.steps))
		}
	}
	for i, row := range l.table {
		dt := max(grain, float64(i)*grain)
		ln := math.Log(dt)
		for k := range m.steps {
			if st := &m.steps[k]; st.chance > 0 {
				row[k] = st.chance * st.gap.density(dt, ln)
			}
		}
	}
}

// weigh finds how each candidate fits each state, and which are worth a thought.
func (l *lattice) weigh(m *model, cs []candidate) {
	l.begin(m, cs)
	rate := math.Log(m.rate)
	l.parts = l.parts[:0]
	l.clear = l.clear[:0]
	for i := range cs {
		noise := rate + m.clutter.logs(&cs[i].x, &l.parts)
		var fits [sounds + 1]float64
		var clear [sounds]float64
		echo := echoed(cs, i)
		for s := range sounds {
			fits[s], clear[s] = m.sound(s, &cs[i].x)
		}
		if m.loose != nil {
			for s, often := range m.loose {
				noise = logAdd(noise, math.Log(often+never)+fits[s])
			}
		}
		for s := range sounds {
			fits[s] -= noise + echo
		}
		fits[sounds] = l.parts[len(l.parts)-len(m.clutter)+hands] - math.Log(m.clutter[hands].share) - noise
		l.clear = append(l.clear, clear)
		l.add(m, i, noise, &fits)
	}
}

// begin makes room for the candidates.
func (l *lattice) begin(m *model, cs []candidate) {
	l.alive, l.fit = l.alive[:0], l.fit[:0]
	l.noise = 0
	if n := len(cs); n > 0 {
		l.noise = -m.rate * (cs[n-1].at - cs[0].at)
	}
}

// add takes the next candidate: how likely it is as clutter, and how much likelier as
// each sound.
func (l *lattice) add(m *model, i int, noise float64, fits *[sounds + 1]float64) {
	l.noise += noise
	top := slices.Max(fits[:])
	if top < -hopeless {
		return
	}
	f := scaled{log: top}
	for s := range fits {
		fits[s] = math.Exp(fits[s] - top)
	}
	for s := range states {
		// A rhythm beside the play that may not begin is none. Left in, it would still
		// be summed backwards, and outgrow play until that is lost.
		if s.counts() || m.start[s] > 0 {
			f.at[s] = fits[s.sound()]
		}
	}
	l.alive = append(l.alive, i)
	l.fit = append(l.fit, f)
}

// echoed is how much less likely a candidate is a contact, nats, as one that was
// louder in every band came just before it: the way to a wall 10 m off and back takes
// that long, and the ball hardly ever.
func echoed(cs []candidate, i int) float64 {
	const within, echo = .055, 6
	for j := i - 1; j >= 0 && cs[i].at-cs[j].at < within; j-- {
		softer := 0
		for b := range levels {
			if cs[i].x[b] < cs[j].x[b] {
				softer++
			}
		}
		if cs[i].strength < cs[j].strength && softer >= levels*3/4 {
			return echo
		}
	}
	return 0
}

// decode finds the chance of every candidate being each kind of contact, summed
// over all ways in which plays could run through the candidates (forward and
// backward passes over a hidden semi-Markov chain: a play skips any number of
// candidates, which then are clutter). It counts into t if t is not nil.
//
// Everything is relative to the explanation that all candidates are clutter,
// which come at random at m.rate a second; so clutter itself costs nothing.
func (l *lattice) decode(m *model, cs []candidate, t *tallies) []belief {
	l.prepare(m)
	l.weigh(m, cs)
	whole := l.passForward(m, cs)
	l.whole = whole
	if t != nil {
		t.clutter = make([]moments, len(m.clutter))
		t.steps = make([]struct{ n, sum, sq float64 }, len(m.steps))
		if len(cs) > 0 {
			t.heard = cs[len(cs)-1].at - cs[0].at
		}
	}
	l.passBack(m, cs, whole, t)

	beliefs := make([]belief, len(cs))
	for n, i := range l.alive {
		f, b := &l.forward[n], &l.back[n]
		w := math.Exp(f.log + b.log - whole)
		for s := range states {
			v := w * f.at[s] * b.at[s]
			switch {
			case s.counts():
				beliefs[i].sound[s.sound()] += v
			case s < clap:
				beliefs[i].pat += v
			default:
				beliefs[i].hands += v
			}
		}
	}
	if t != nil {
		for i := range cs {
			b := &beliefs[i]
			for s, w := range b.sound {
				if w > slight {
					t.sounds[s].add(&cs[i].x, w*l.clear[i][s])
				}
			}
			t.clutter[hands].add(&cs[i].x, b.hands)
			share(&cs[i].x, b.stray(), l.parts[i*len(m.clutter):(i+1)*len(m.clutter)], t.clutter)
			t.stray += b.stray()
		}
	}
	return beliefs
}

// passForward sums over all that leads to each candidate, itself included, and
// returns the logarithm of the sum over everything.
func (l *lattice) passForward(m *model, cs []candidate) float64 {
	l.forward, l.idle = l.forward[:0], l.idle[:0]
	idle := 0.0
	for n, i := range l.alive {
		first, ref := n, idle
		for first > 0 && cs[i].at-cs[l.alive[first-1]].at <= longest {
			first--
			ref = max(ref, l.forward[first].log)
		}
		in := scaled{log: ref}
		for s := range states {
			in.at[s] = math.Exp(idle-ref) * m.start[s] * m.plays
		}
		for j := first; j < n; j++ {
			dt := cs[i].at - cs[l.alive[j]].at
			f := &l.forward[j]
			if dt < closest || f.log < ref-60 {
				continue
			}
			w := math.Exp(f.log - ref)
			row := l.table[int(dt/grain+.5)]
			for k := range m.steps {
				st := &m.steps[k]
				in.at[st.to] += w * f.at[st.from] * row[k]
			}
		}
		stopped := 0.0
		in.log += l.fit[n].log
		for s := range states {
			in.at[s] *= l.fit[n].at[s]
		}
		in.settle()
		for s := range states {
			stopped += in.at[s] * m.stop[s]
		}
		l.forward = append(l.forward, in)
		l.idle = append(l.idle, idle)
		idle = logAdd(idle, in.log+math.Log(stopped))
	}
	return idle
}

// passBack sums over all that may come after each candidate.
func (l *lattice) passBack(m *model, cs []candidate, whole float64, t *tallies) {
	l.back = append(l.back[:0], l.forward...) // sized, then written over
	ahead := append([]scaled(nil), l.forward...)
	begin := 0.0 // of no play running just after the candidate
	for n := len(l.alive) - 1; n >= 0; n-- {
		i := l.alive[n]
		last, ref := n, begin
		for last+1 < len(l.alive) && cs[l.alive[last+1]].at-cs[i].at <= longest {
			last++
			ref = max(ref, ahead[last].log)
		}
		out := scaled{log: ref}
		f := &l.forward[n]
		for s := range states {
			v := math.Exp(begin-ref) * m.stop[s]
			out.at[s] = v
			if t != nil {
				t.stop[s] += math.Exp(f.log+ref-whole) * f.at[s] * v
			}
		}
		for j := n + 1; j <= last; j++ {
			dt := cs[l.alive[j]].at - cs[i].at
			a := &ahead[j]
			if dt < closest || a.log < ref-60 {
				continue
			}
			w := math.Exp(a.log - ref)
			row := l.table[int(dt/grain+.5)]
			for k := range m.steps {
				st := &m.steps[k]
				out.at[st.from] += w * a.at[st.to] * row[k]
			}
			if t != nil && f.log+a.log-whole > -16 {
				t.count(m, math.Exp(f.log+a.log-whole), math.Log(dt), row, f, a)
			}
		}
		out.settle()
		l.back[n] = out
		started := 0.0
		a := scaled{log: out.log + l.fit[n].log}
		for s := range states {
			a.at[s] = out.at[s] * l.fit[n].at[s]
			started += a.at[s] * m.start[s] * m.plays
		}
		begin = logAdd(begin, a.log+math.Log(started))
		a.settle()
		ahead[n] = a
	}
}

func (t *tallies) count(m *model, w, ln float64, row []float64, f, a *scaled) {
	for k := range m.steps {
		st := &m.steps[k]
		if v := w * f.at[st.from] * a.at[st.to] * row[k]; v > slight {
			c := &t.steps[k]
			c.n += v
			c.sum += v * ln
			c.sq += v * ln * ln
		}
	}
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
