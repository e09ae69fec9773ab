// Package prior finds how the rates of a club's players spread, and what rate to expect
// of one of them: the fewer strokes were seen, the closer to the club's. It is pure.
package prior

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/optimize"

	"strokeledger/internal/tally/interval"
)

const (
	// fewestPlayers is from how many players on a club's spread is fitted; below
	// it, what players have in common is a guess.
	fewestPlayers = 5
	// weakStrokes is how many strokes the club's rate weighs where the spread
	// cannot be fitted: as many as Agresti A, Coull BA (1998) Am Stat 52:119-126
	// add to a proportion (z² = 3.84, about two of each outcome), here at the
	// club's rate instead of one half.
	weakStrokes = 4
	// weakMarks is the same for marks per minute: Jeffreys' shape for a Poisson
	// rate, one half (the root of the Fisher information 1/m of a Poisson mean,
	// which is a gamma density of that shape), at the club's rate.
	weakMarks = 0.5
)

// FitShares finds how the rates x out of n of players spread: a beta distribution
// round the club's rate, by maximum likelihood of the beta-binomial. Players with n
// = 0 say nothing. Where they differ no more than chance makes them differ, all are
// alike; with fewer than five, the prior is weak (FitHow). It panics where the two
// differ in length.
//
// Source: Griffiths DA (1973) Biometrics 29:637-648; values of scipy in
// fit_test.go. That all are alike is the sign of the likelihood's slope at no
// spread, as in Tarone RE (1979) Biometrika 66:585-590.
func FitShares(x, n []int) Fit {
	if len(x) != len(n) {
		panic("prior: a spread needs as many counts as exposures")
	}
	var fx, fn []float64
	sx, sn := 0.0, 0.0
	for i := range x {
		if n[i] > 0 {
			fx, fn = append(fx, float64(x[i])), append(fn, float64(n[i]))
			sx += float64(x[i])
			sn += float64(n[i])
		}
	}
	switch {
	case len(fx) == 0:
		return Fit{How: WeakPrior}
	case len(fx) < fewestPlayers:
		return Fit{Players: len(fx), Mean: (sx + 0.5) / (sn + 1), Strength: weakStrokes, How: WeakPrior}
	}
	mean := sx / sn
	alike := Fit{Players: len(fx), Mean: mean, How: AllAlike}
	slope := 0.0
	for i := range fx {
		if sx > 0 && sx < sn {
			good := fn[i] - fx[i]
			slope += fx[i]*(fx[i]-1)/mean + good*(good-1)/(1-mean) - fn[i]*(fn[i]-1)
		}
	}
	if !(slope > 0) {
		return alike
	}
	like := likelihood{
		level: func(u, v float64) float64 {
			m := math.Exp(v)
			a := m / (1 + math.Exp(-u))
			b := m - a
			level := float64(len(fx)) * (lgamma(m) - lgamma(a) - lgamma(b))
			for i := range fx {
				level += lgamma(a+fx[i]) + lgamma(b+fn[i]-fx[i]) - lgamma(m+fn[i])
			}
			return level
		},
		slope: func(u, v float64) (du, dv float64) {
			m := math.Exp(v)
			mu := 1 / (1 + math.Exp(-u))
			a, b := mu*m, (1-mu)*m
			pm := mathext.Digamma(m)
			da := float64(len(fx)) * (pm - mathext.Digamma(a))
			db := float64(len(fx)) * (pm - mathext.Digamma(b))
			for i := range fx {
				both := mathext.Digamma(m + fn[i])
				da += mathext.Digamma(a+fx[i]) - both
				db += mathext.Digamma(b+fn[i]-fx[i]) - both
			}
			return (da - db) * m * mu * (1 - mu), a*da + b*db
		},
	}
	// By moments: how far the rates lie apart beyond what chance makes of them.
	apart, squares := 0.0, 0.0
	for i := range fx {
		d := fx[i]/fn[i] - mean
		apart += fn[i] * d * d
		squares += fn[i] * fn[i]
	}
	k := float64(len(fx) - 1)
	alikeness := (apart/(mean*(1-mean)) - k) / (sn - squares/sn - k)
	v, ok := like.top(math.Log(mean/(1-mean)), -logit(alikeness))
	if !ok {
		return alike
	}
	return Fit{Players: len(fx), Mean: 1 / (1 + math.Exp(-v[0])), Strength: math.Exp(v[1]), How: Fitted}
}

// FitPaces is FitShares for x marks in so many minutes: a gamma distribution
// round the club's rate, by maximum likelihood of the negative binomial. Strength
// is in minutes.
//
// Source: Clayton D, Kaldor J (1987) Biometrics 43:671-681.
func FitPaces(x []int, minutes []float64) Fit {
	if len(x) != len(minutes) {
		panic("prior: a spread needs as many counts as exposures")
	}
	var fx, ft []float64
	sx, st := 0.0, 0.0
	for i := range x {
		if minutes[i] > 0 {
			fx, ft = append(fx, float64(x[i])), append(ft, minutes[i])
			sx += float64(x[i])
			st += minutes[i]
		}
	}
	switch {
	case len(fx) == 0:
		return Fit{How: WeakPrior}
	case len(fx) < fewestPlayers:
		mean := (sx + weakMarks) / st
		return Fit{Players: len(fx), Mean: mean, Strength: weakMarks / mean, How: WeakPrior}
	}
	mean := sx / st
	alike := Fit{Players: len(fx), Mean: mean, How: AllAlike}
	slope := 0.0
	for i := range fx {
		d := fx[i] - ft[i]*mean
		slope += d*d - fx[i]
	}
	if !(slope > 0) {
		return alike
	}
	like := likelihood{
		level: func(u, v float64) float64 {
			shape, rate := math.Exp(v), math.Exp(v-u)
			level := float64(len(fx)) * (shape*math.Log(rate) - lgamma(shape))
			for i := range fx {
				level += lgamma(shape+fx[i]) - (shape+fx[i])*math.Log(rate+ft[i])
			}
			return level
		},
		slope: func(u, v float64) (du, dv float64) {
			shape, rate := math.Exp(v), math.Exp(v-u)
			ds := float64(len(fx)) * (math.Log(rate) - mathext.Digamma(shape))
			dr := float64(len(fx)) * shape / rate
			for i := range fx {
				ds += mathext.Digamma(shape+fx[i]) - math.Log(rate+ft[i])
				dr -= (shape + fx[i]) / (rate + ft[i])
			}
			return -rate * dr, shape*ds + rate*dr
		},
	}
	squares := 0.0
	for _, t := range ft {
		squares += t * t
	}
	v, ok := like.top(math.Log(mean), math.Log(mean*mean*squares/slope))
	if !ok {
		return alike
	}
	return Fit{Players: len(fx), Mean: math.Exp(v[0]), Strength: math.Exp(v[1] - v[0]), How: Fitted}
}

// logit of a part of a whole, kept off both ends.
func logit(p float64) float64 {
	p = min(max(p, 1e-6), 0.9)
	return math.Log(p / (1 - p))
}

// likelihood is the logarithm of a likelihood of a centre u and of the logarithm v
// of a strength, with its slope.
type likelihood struct {
	level func(u, v float64) float64
	slope func(u, v float64) (du, dv float64)
}

// top finds where the likelihood is highest, starting at (u, v). It is not ok
// where that lies at a strength without end, or is not found.
func (l likelihood) top(u, v float64) (at [2]float64, ok bool) {
	if u, v, ok := l.newton(u, v); ok {
		return [2]float64{u, v}, true
	}
	// Far from the top Newton's steps may lead anywhere: climb slowly instead.
	r, err := optimize.Minimize(optimize.Problem{
		Func: func(at []float64) float64 { return -l.level(at[0], at[1]) },
		Grad: func(to, at []float64) {
			du, dv := l.slope(at[0], at[1])
			to[0], to[1] = -du, -dv
		},
	}, []float64{u, v}, &optimize.Settings{GradientThreshold: 1e-7, MajorIterations: 200}, &optimize.BFGS{})
	// A line search that finds no better point is, as a rule, at the top within
	// rounding: its last point counts.
	if r == nil || math.IsNaN(r.F) || r.X[1] > endless || err != nil && (len(r.Gradient) != 2 || math.Hypot(r.Gradient[0], r.Gradient[1]) > 1e-3) {
		return at, false
	}
	return [2]float64{r.X[0], r.X[1]}, true
}

// endless is the logarithm of a strength beyond which all are alike.
const endless = 20

// newton takes Newton's steps on the slope, whose own slopes it takes from
// differences. It is ok where it came to a top.
func (l likelihood) newton(u, v float64) (float64, float64, bool) {
	const h = 1e-4
	for range 25 {
		du, dv := l.slope(u, v)
		uu, uv := l.slope(u+h, v)
		vu, vv := l.slope(u, v+h)
		uu, vv, cross := (uu-du)/h, (vv-dv)/h, (uv-dv+vu-du)/(2*h)
		det := uu*vv - cross*cross
		if !(uu < 0 && det > 0) { // not a hill
			return u, v, false
		}
		su, sv := (cross*dv-vv*du)/det, (cross*du-uu*dv)/det
		if long := math.Hypot(su, sv); long > 1.5 {
			su, sv = su*1.5/long, sv*1.5/long
		}
		u, v = u+su, v+sv
		if !(math.Abs(v) < endless) {
			return u, v, false
		}
		if math.Hypot(su, sv) < 1e-7 {
			return u, v, true
		}
	}
	return u, v, false
}

// Expect is the rate to expect of a player with x of n strokes (or x marks in n
// minutes), drawn towards the club's, with about 95 % of what is credible:
// perMinute says which of the two n is.
func (f Fit) Expect(x int, n float64, perMinute bool) Expected {
	fx, s := float64(x), f.Strength
	e := Expected{Club: f.Mean}
	if f.How == AllAlike {
		e.Rate, e.Low, e.High = f.Mean, f.Mean, f.Mean
		return e
	}
	if n+s == 0 {
		return e
	}
	fx += f.Mean * s
	n += s
	e.Rate = fx / n
	e.Excess = e.Rate - f.Mean
	switch {
	case perMinute && fx == 0: // the club has shown nothing either
		e.High = interval.Poisson(0).High / n
	case perMinute:
		// The cube-root approximation of a gamma distribution's quantiles: Wilson
		// EB, Hilferty MM (1931) PNAS 17:684-688; values of scipy in TestExpectAgainstScipy.
		c := 1 / (9 * fx)
		e.Low = e.Rate * math.Pow(max(0, 1-c-interval.Z*math.Sqrt(c)), 3)
		e.High = e.Rate * math.Pow(1-c+interval.Z*math.Sqrt(c), 3)
	default:
		i := interval.Score(fx, n)
		e.Low, e.High = i.Low, i.High
	}
	return e
}

// Fit says how the club's own spread of a fault was found.
type Fit struct {
	Players  int     `json:"players"`  // with exposure
	Mean     float64 `json:"mean"`     // the club's rate
	Strength float64 `json:"strength"` // the club's rate weighs as much as so many strokes (minutes) of the player's; 0: see How
	How      FitHow  `json:"how"`
}

// FitHow says where a Fit comes from.
type FitHow string

const (
	Fitted    FitHow = "fitted"    // maximum likelihood
	AllAlike  FitHow = "all alike" // the players differ no more than chance: everyone is given the club's rate
	WeakPrior FitHow = "weak"      // fewer than five players: the club's rate counts like a few strokes; see weakStrokes
)

// Expected is a rate to expect of a player, drawn towards the club's: the fewer
// the strokes, the closer to the club.
type Expected struct {
	Rate   float64 `json:"rate"` // per stroke, or a minute where there are no strokes
	Low    float64 `json:"low"`  // 95 % of what is credible
	High   float64 `json:"high"`
	Club   float64 `json:"club"`   // the club's rate that it was drawn towards
	Excess float64 `json:"excess"` // Rate - Club
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
