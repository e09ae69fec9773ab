// Package streak has the chance of a run of good strokes. It is pure, and takes every
// stroke as independent of all others.
package streak

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Chance is the chance of at least one streak of r good strokes within n,
// where each is good with chance p and strokes are independent: a strong
// assumption in a rally. It panics unless r is positive, n is not negative and p
// lies in 0 to 1.
//
// Source: Feller W (1968) An Introduction to Probability Theory and Its
// Applications, vol. 1, 3rd ed., XIII.7: with q(i) the chance of no streak within
// i, q(i) = 1 for i < r, q(r) = 1 - p^r and q(i) = q(i-1) - (1-p) p^r q(i-r-1).
func Chance(n, r int, p float64) float64 {
	if r < 1 || n < 0 || !(p >= 0 && p <= 1) {
		panic(fmt.Sprintf("streak: no streak of %d within %d at a rate of %v", r, n, p))
	}
	if n < r {
		return 0
	}
	clean := math.Pow(p, float64(r))
	fresh := (1 - p) * clean // a streak that starts after a miss
	q := make([]float64, n+1)
	for i := range r {
		q[i] = 1
	}
	q[r] = 1 - clean
	for i := r + 1; i <= n; i++ {
		q[i] = q[i-1] - fresh*q[i-r-1]
	}
	return 1 - q[n]
}

// Predict is Chance for a player whose rate is not known but of whom good
// strokes out of so many were seen: the mean over all rates, each as credible as
// the strokes leave it after a uniform start. It panics where Chance and
// Wilson do.
func Predict(n, r, good, strokes int) float64 {
	if good < 0 || good > strokes {
		panic(fmt.Sprintf("streak: %d out of %d is not a proportion", good, strokes))
	}
	if n < r {
		return 0
	}
	a, b := float64(good)+1, float64(strokes-good)+1
	if n == r { // every one of them good: a ratio of beta functions
		rf := float64(r)
		return math.Exp(lgamma(a+rf) + lgamma(a+b) - lgamma(a) - lgamma(a+b+rf))
	}
	// The weight of a rate is a narrow hill where much was seen: look only where it
	// stands.
	norm := lgamma(a+b) - lgamma(a) - lgamma(b)
	mean, sd := a/(a+b), math.Sqrt(a*b/((a+b)*(a+b)*(a+b+1)))
	low, high := max(0, mean-12*sd), min(1, mean+12*sd)
	weight := func(p float64) float64 {
		return math.Exp(norm + (a-1)*math.Log(max(p, 1e-300)) + (b-1)*math.Log(max(1-p, 1e-300)))
	}
	return min(1, quad.Fixed(func(p float64) float64 { return Chance(n, r, p) * weight(p) }, low, high, 80, quad.Legendre{}, 0))
}

func lgamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
