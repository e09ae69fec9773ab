package contact

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// state is one of the four kinds of contact in a play: a racket or the table, on
// one side of the net or the other. Which side is near is decided last.
type state int

const (
	racket0 state = iota
	racket1
	bounce0
	bounce1
	states
)

func (s state) racket() bool { return s <= racket1 }
func (s state) side() int    { return int(s & 1) }

// gauss is a normal density over the features.
type gauss struct {
	mean  [features]float64
	under [features][features]float64 // inverse of the Cholesky factor, lower
	norm  float64                     // logarithm of the constant
}

// newGauss panics if the covariance is not positive definite: it is made so.
func newGauss(mean [features]float64, cov *mat.SymDense) gauss {
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		panic("contact: covariance is not positive definite")
	}
	var l, inverse mat.TriDense
	chol.LTo(&l)
	if err := inverse.InverseTri(&l); err != nil {
		panic("contact: " + err.Error())
	}
	g := gauss{mean: mean, norm: -.5 * (chol.LogDet() + features*math.Log(2*math.Pi))}
	for i := range features {
		for j := range i + 1 {
			g.under[i][j] = inverse.At(i, j)
		}
	}
	return g
}

// heavy is the number of degrees of freedom of the density's tails: a contact
// that is mixed with another sound lies far out in a band or two and is one all
// the same.
const heavy = 8

// log returns the logarithm of the density, with the tails of a Student t.
func (g *gauss) log(x *[features]float64) float64 {
	q := 0.0
	for i := range features {
		v := 0.0
		for j := range i + 1 {
			v += g.under[i][j] * (x[j] - g.mean[j])
		}
		q += v * v
	}
	return g.norm - .5*(heavy+features)*math.Log1p(q/heavy)
}

// moments gathers weighted features.
type moments struct {
	n   float64
	sum [features]float64
	sq  [features][features]float64
}

func (m *moments) add(x *[features]float64, w float64) {
	m.n += w
	for i, a := range x {
		m.sum[i] += w * a
		for j := range i + 1 {
			m.sq[i][j] += w * a * x[j]
		}
	}
}

func (m *moments) mean() (out [features]float64) {
	for i := range out {
		out[i] = m.sum[i] / m.n
	}
	return out
}

// gap is the time from one contact to the next: log-normal.
type gap struct{ mean, sd float64 } // of the logarithm of seconds

func gapOf(seconds, relative float64) gap { return gap{math.Log(seconds), relative} }

const (
	longest = 1.3  // seconds: what comes later belongs to another play
	stray   = .04  // share of gaps that keep to no tempo
	closest = .025 // seconds: less is one contact heard twice
)

// log returns the logarithm of the density at dt seconds, whose logarithm is ln.
func (g gap) log(ln float64) float64 {
	z := (ln - g.mean) / g.sd
	p := (1 - stray) * math.Exp(-.5*z*z-ln) / (g.sd * math.Sqrt(2*math.Pi))
	return math.Log(p + stray/longest)
}

// end stands for the end of a play where a next state is asked for.
const end = int(states)

// model is what the decoder believes about one clip.
type model struct {
	start   [states]float64          // chance of the first contact of a play
	next    [states][end + 1]float64 // chance of what follows
	gaps    [states][states]gap
	sounds  [states]gauss
	clutter gauss
	rate    float64 // clutter, candidates a second
	plays   float64 // plays begun a second of no play
}

// common is what is known of play before a clip is heard; the two sides are
// alike. The usual tempo is sources of play's own (0.64 s between rackets: elite
// women, IJPAS 2022 22(1):174-182) with a wide spread; the rest was chosen by
// TestTable on the tuning seeds.
func common() model {
	m := model{
		start: [states]float64{.4, .4, .1, .1},
		rate:  5, plays: .15,
	}
	for side := range 2 {
		r, ro := state(side), state(1-side)
		b, bo := bounce0+state(side), bounce0+state(1-side)
		// After a racket: the ball lands on the other half; a serve lands on the
		// own half first; a bounce went unheard; all of the other side did.
		m.follow(r, bo, .79, gapOf(.31, .30))
		m.follow(r, b, .06, gapOf(.13, .40))
		m.follow(r, ro, .06, gapOf(.50, .35))
		m.follow(r, r, .02, gapOf(1.0, .30))
		m.next[r][end] = .07
		// After a bounce: the player there strikes it; a serve or the next ball of
		// a machine bounces on the other half; the feeder strikes the next ball.
		m.follow(b, b+racket0-bounce0, .80, gapOf(.20, .35))
		m.follow(b, bo, .07, gapOf(.32, .35))
		m.follow(b, ro, .05, gapOf(.45, .50))
		m.follow(b, b, .005, gapOf(.60, .50))
		m.next[b][end] = .075
	}
	return m
}

func (m *model) follow(from, to state, chance float64, g gap) {
	m.next[from][to], m.gaps[from][to] = chance, g
}

// prior is a guess of the features of one class before a clip is heard: levels
// are relative to loud, a level that the clip's louder candidates have.
func prior(shape [features]float64, level, levelSD, tiltSD, bandSD float64) (mean [features]float64, cov *mat.SymDense) {
	cov = mat.NewSymDense(features, nil)
	for i := range bands {
		mean[i] = level + shape[i]
		for j := range i + 1 {
			ti, tj := float64(i)-2.5, float64(j)-2.5
			v := levelSD*levelSD + tiltSD*tiltSD*ti*tj
			if i == j {
				v += bandSD * bandSD
			}
			cov.SetSym(i, j, v)
		}
	}
	for i := bands; i < features; i++ {
		mean[i] = shape[i]
		cov.SetSym(i, i, .7*.7)
	}
	return mean, cov
}
