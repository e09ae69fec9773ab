package tally

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Armitage tests for a trend in proportions x out of n over groups with scores:
// z is positive where the proportion rises with the score, p is two-sided. It is
// not ok where there is nothing to test: the same score, or the same outcome,
// everywhere. It panics unless the three have one length and Wilson takes each
// pair.
//
// Source: Cochran WG (1954) Biometrics 10:417-451; Armitage P (1955) Biometrics
// 11:375-386; with N, not N-1, in the variance, as in R's prop.trend.test.
func Armitage(x, n []int, score []float64) (z, p float64, ok bool) {
	if len(x) != len(n) || len(x) != len(score) {
		panic("tally: a trend needs as many scores as proportions")
	}
	var sx, sn, sns, snss, sxs float64
	for i := range x {
		if x[i] < 0 || x[i] > n[i] {
			panic(fmt.Sprintf("tally: %d out of %d is not a proportion", x[i], n[i]))
		}
		fx, fn := float64(x[i]), float64(n[i])
		sx += fx
		sn += fn
		sns += fn * score[i]
		snss += fn * score[i] * score[i]
		sxs += fx * score[i]
	}
	rate := sx / sn
	variance := rate * (1 - rate) * (snss - sns*sns/sn)
	if !(variance > 1e-12) {
		return 0, 1, false
	}
	z = (sxs - rate*sns) / math.Sqrt(variance)
	return z, twoSided(z), true
}

// twoSided is the chance of a standard normal value at least as far from nought.
func twoSided(z float64) float64 { return 2 * distuv.UnitNormal.Survival(math.Abs(z)) }

// Line fits a straight line to proportions x out of n at times, each weighing as
// its n, and returns its slope per unit of time with its standard error. Where the
// proportions lie further from the line than chance throws them, the error grows
// accordingly (a quasi-binomial scale, never below 1, times the given effect). It
// is not ok with fewer than three groups with n > 0, one time only, or one outcome
// only.
//
// Source: weighted least squares; the scale as in McCullagh P, Nelder JA (1989)
// Generalized Linear Models, 2nd ed., section 4.5 (from memory).
func Line(x, n []int, at []float64, effect float64) (slope, se float64, ok bool) {
	var sx, sn, st float64
	groups := 0
	for i := range x {
		if n[i] > 0 {
			groups++
		}
		sx += float64(x[i])
		sn += float64(n[i])
		st += float64(n[i]) * at[i]
	}
	if groups < 3 || sx == 0 || sx == sn {
		return 0, 0, false
	}
	mean, rate := st/sn, sx/sn
	var stt, stp float64
	for i := range x {
		d := at[i] - mean
		stt += float64(n[i]) * d * d
		stp += d * (float64(x[i]) - float64(n[i])*rate)
	}
	if !(stt > 0) {
		return 0, 0, false
	}
	slope = stp / stt
	v := rate * (1 - rate)
	apart := 0.0
	for i := range x {
		if n[i] > 0 {
			d := float64(x[i])/float64(n[i]) - rate - slope*(at[i]-mean)
			apart += float64(n[i]) * d * d / v
		}
	}
	scale := max(1, effect, apart/float64(groups-2))
	return slope, math.Sqrt(scale * v / stt), true
}
