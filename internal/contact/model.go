package contact

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// state is one kind of contact in a play: a racket or the table, on one side of
// the net or the other. Which side is near is decided last. What may follow
// differs for a serve and its first bounce, and for a bounce that follows another
// one or opens a play, as no third can follow: that tells a ball that is played
// from one that is patted. The last states are no contacts of the table that is
// filmed: sounds that keep a rhythm of their own.
type state int

const (
	racket0 state = iota
	racket1
	bounce0
	bounce1
	second0 // the second of two bounces in a row
	second1
	serve0
	serve1
	first0 // the first bounce of a serve, on the server's half
	first1
	pat0 // a ball patted or let drop on the table
	pat1
	clap
	states
)

// sounds is the number of different sounds of contacts: all bounces on a half
// are alike, and so on.
const sounds = 4

func (s state) side() int { return int(s & 1) }

// mirror is the same on the other side of the net.
func (s state) mirror() state {
	if s >= clap {
		return s
	}
	return s ^ 1
}

// sound is the kind of contact that a state sounds like, or one of the kinds of
// clutter from sounds up.
func (s state) sound() int {
	switch s {
	case serve0, serve1:
		return int(s - serve0 + racket0)
	case second0, second1, first0, first1, pat0, pat1:
		return int(bounce0) + s.side()
	case clap:
		return sounds
	}
	return int(s)
}

// counts reports whether a state is a contact of play.
func (s state) counts() bool { return s < pat0 }

// gauss is a density over the features.
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
	g := gauss{mean: mean, norm: -.5*chol.LogDet() + features*studentNorm()}
	for i := range features {
		for j := range i + 1 {
			g.under[i][j] = inverse.At(i, j)
		}
	}
	return g
}

// studentNorm is the logarithm of the constant of a Student t.
func studentNorm() float64 {
	a, _ := math.Lgamma((heavy + 1) / 2.)
	b, _ := math.Lgamma(heavy / 2.)
	return a - b - .5*math.Log(heavy*math.Pi)
}

// heavy is the number of degrees of freedom of each feature's tails: another
// sound at the same moment throws a band or two far out, and leaves the rest.
const heavy = 5

// log returns the logarithm of the density. In units of the spread the features
// are independent, each with the tails of a Student t.
func (g *gauss) log(x *[features]float64) float64 {
	var d [features]float64
	for i := range d {
		d[i] = x[i] - g.mean[i]
	}
	q := 1.0
	for i := range features {
		v := floats.Dot(g.under[i][:i+1], d[:i+1])
		q *= 1 + v*v/heavy
	}
	return g.norm - .5*(heavy+1)*math.Log(q)
}

// moments gathers weighted features.
type moments struct {
	n   float64
	sum [features]float64
	sq  [features][features]float64
}

func (m *moments) add(x *[features]float64, w float64) {
	if w < slight {
		return
	}
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
	stray   = .03  // share of gaps that keep to no tempo
	closest = .025 // seconds: less is one contact heard twice
	soonest = .05  // seconds that the ball takes at the least
)

// density at dt seconds, whose logarithm is ln.
func (g gap) density(dt, ln float64) float64 {
	z := (ln - g.mean) / g.sd
	if dt < soonest {
		return stray / longest
	}
	return (1-stray)*math.Exp(-.5*z*z)/(dt*g.sd*math.Sqrt(2*math.Pi)) + stray/longest
}

// step is one way for a play to go on.
type step struct {
	from, to state
	chance   float64
	gap      gap
	unheard  bool // passes over a contact that was not heard: never taken for a habit
}

// flies reports whether the ball goes from a racket to the other half.
func (st *step) flies() bool { return st.from <= racket1 && st.to == bounce1-st.from }

// rises reports whether it goes from a half to the racket behind it.
func (st *step) rises() bool {
	return (st.from == bounce0 || st.from == bounce1) && st.to == st.from-bounce0
}

// usualFlight and usualRise are how long that takes before a clip is heard, see [common].
func usualFlight() gap { return gapOf(.31, .30) }
func usualRise() gap   { return gapOf(.20, .35) }

// model is what the decoder believes about one clip.
type model struct {
	start   [states]float64 // chance of the first contact of a play
	stop    [states]float64 // chance that nothing follows
	steps   []step          // in pairs: each is followed by its mirror image
	sounds  [sounds]gauss
	spoilt  [sounds]gauss // the same, covered in part by another sound
	loud    float64       // level that the classes are relative to
	clutter mixture
	rate    float64 // clutter, candidates a second
	plays   float64 // plays begun a second of no play

	// How often a second the sounds of play come at random as well; nil where they are
	// taken to be always of play.
	loose *[sounds]float64
}

// common is what is known of play before a clip is heard; the two sides are
// alike. The usual tempo is the sources' own (0.64 s between rackets: elite
// women, IJPAS 2022 22(1):174-182) with a wide spread; the rest was chosen by
// TestTable on the tuning seeds.
func common() model {
	m := model{rate: 5, plays: .2}
	for side := range state(2) {
		m.start[racket0+side], m.stop[racket0+side] = .08, .07
		m.start[serve0+side], m.stop[serve0+side] = .22, .02
		m.start[second0+side], m.stop[second0+side] = .06, .07
		m.stop[bounce0+side], m.stop[first0+side] = .07, .02
		m.start[pat0+side], m.stop[pat0+side] = .05, .15
	}
	m.start[clap], m.stop[clap] = .09, .15
	// After a racket: the ball lands on the other half; a ball put into play lands
	// on the own half first; a bounce went unheard; all of the other side did.
	m.follow(racket0, bounce1, .80, usualFlight())
	m.follow(racket0, first0, .03, gapOf(.13, .35))
	m.follow(racket0, racket1, .06, gapOf(.50, .35))
	m.follow(racket0, racket0, .02, gapOf(1.0, .30))
	// After a bounce: the player there strikes it; the next ball of a machine
	// bounces on the other half; a ball that nobody reaches bounces again; the feeder
	// strikes the next ball.
	m.follow(bounce0, racket0, .82, usualRise())
	m.follow(bounce0, second1, .03, gapOf(.40, .40))
	m.follow(bounce0, second0, .03, gapOf(.60, .40))
	m.follow(bounce0, racket1, .05, gapOf(.45, .50))
	m.follow(second0, racket0, .88, usualRise())
	m.follow(second0, racket1, .05, gapOf(.45, .50))
	// A serve bounces on the server's half, then on the other.
	m.follow(serve0, first0, .86, gapOf(.13, .35))
	m.follow(serve0, second1, .09, gapOf(.43, .25))
	m.follow(serve0, racket1, .03, gapOf(.63, .25))
	m.follow(first0, second1, .92, gapOf(.30, .30))
	m.follow(first0, racket1, .06, gapOf(.50, .30))
	// A feeder plays the next ball before the last one has landed, or after.
	m.follow(racket0, serve1, .02, gapOf(.20, .40))
	m.follow(bounce0, serve0, .02, gapOf(.20, .60))
	m.follow(first0, first0, .02, gapOf(.07, .50))
	// What goes on beside.
	m.follow(pat0, pat0, .85, gapOf(.40, .35))
	m.follow(clap, clap, .85, gapOf(.35, .40))
	return m
}

// sound is the logarithm of the density of a contact of sound n, and the chance that
// such a one is not spoilt.
func (m *model) sound(n int, x *[features]float64) (density, clear float64) {
	plain, covered := math.Log(1-spoilt)+m.sounds[n].log(x), math.Log(spoilt)+m.spoilt[n].log(x)
	density = logAdd(plain, covered)
	return density, math.Exp(plain - density)
}

func (m *model) spoil() {
	for s := range m.sounds {
		m.spoilt[s] = contactClass().spoil(&m.sounds[s])
	}
}

// follow adds a step and its mirror image; where that is the same step, the
// second one is given no chance.
func (m *model) follow(from, to state, chance float64, g gap) {
	unheard := from < pat0 && to <= racket1 && to.mirror().side() == from.side() ||
		from == racket0 && to == racket0
	other := step{from.mirror(), to.mirror(), chance, g, unheard}
	if from.mirror() == from {
		other.chance = 0
	}
	m.steps = append(m.steps, step{from, to, chance, g, unheard}, other)
}

// units is x from the mean, in units of the spread.
func (g *gauss) units(x *[features]float64) (out [features]float64) {
	for i := range out {
		for j := range i + 1 {
			out[i] += g.under[i][j] * (x[j] - g.mean[j])
		}
	}
	return out
}
