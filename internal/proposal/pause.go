package proposal

import (
	"math"
	"slices"
)

// Pause is what parts the bursts of a clip.
type Pause struct {
	Seconds float64
	// Learned is false where the clip has too few pauses to learn from, and Seconds is
	// [Usual].
	Learned bool
	// Sure says that the clip's own pauses fall into two kinds. Where they do not, some
	// bursts have to be joined or split.
	Sure bool
}

// The limits of a pause that a coach may set, and the one for clips that are too
// short to learn from, seconds. Usual was chosen on the invented club of seed 1,
// whose clips hold two or three turns of 6 to 11 s each; there is no figure in common
// practice.
const (
	Shortest = Dead
	Longest  = 120.
	Usual    = 2.5
)

// Learn learns from the pauses between exchanges, in order of time, how long one is
// that parts turns.
//
// Pauses are thought of as of three kinds: the next ball is at hand, one has to be
// fetched, the player changes. The logarithms of each kind are normally distributed
// with a mean and a variance that nobody knows beforehand, and each way to cut the
// pauses by their length is as probable as they are under it (the marginal likelihood
// of the normal distribution under its conjugate prior: Murphy KP (2007), Conjugate
// Bayesian analysis of the Gaussian distribution, eq. 95).
func Learn(all []Exchange) Pause {
	var pauses []float64
	for i := 1; i < len(all); i++ {
		pauses = append(pauses, all[i].First-all[i-1].Last)
	}
	if len(pauses) == 0 {
		return Pause{Seconds: Usual}
	}
	slices.Sort(pauses)
	return learn(pauses)
}

// The choices of [Learn].
const (
	// enough is how many pauses it takes to learn from them where it is not plain.
	enough = 6
	// doubt is how probable it must be that a pause parts turns for it to do so: to
	// join two bursts costs one key, to split one it has to be looked for first.
	doubt = 1. / 3
	// plain is how probable one way to cut the pauses must be for the clip to be sure.
	plain = .8
	// single is how much less probable a clip of one turn is than one with any given
	// number of changes: it is mostly the longer ones that have to be cut.
	single = .1
)

// learn is Learn for pauses in rising order, at least one.
func learn(pauses []float64) Pause {
	n := len(pauses)
	scores := likelihoods(pauses)
	all := sum(scores)
	cut, parts, sure := n, 0., false // cut is the first pause that parts turns
	for k, s := range scores {
		p := math.Exp(s - all)
		sure = sure || p >= plain && 0 < k && k < n
		if parts += p; cut == n && parts >= doubt {
			cut = k
		}
	}
	if n < enough && !sure {
		return Pause{Seconds: Usual}
	}
	p := Pause{Learned: true, Sure: sure}
	switch cut {
	case 0:
		p.Seconds = Shortest
	case n:
		p.Seconds = max(Usual, 1.5*pauses[n-1])
	default:
		p.Seconds = math.Sqrt(pauses[cut-1] * pauses[cut])
	}
	p.Seconds = min(max(p.Seconds, Shortest), Longest)
	return p
}

// kind is what is expected of the logarithms of one kind of pause before any is
// known: a mean that is worth so many pauses, and a variance that is worth four.
type kind struct{ mean, worth, variance float64 }

// What is expected, wide enough to be overruled by a handful of pauses. Common
// practice, no source: the next ball is at hand in 2 to 3 s, one is fetched or the
// basket filled in 7, and a player has changed in 20.
func atHand() kind  { return kind{math.Log(2.5), .3, .3 * .3} }
func fetched() kind { return kind{math.Log(7), .3, .3 * .3} }
func changed() kind { return kind{math.Log(20), .3, .4 * .4} }

// likelihoods returns the logarithm of how probable the pauses are, in rising order,
// where the first k of them lie inside turns, for k from 0 to all.
func likelihoods(pauses []float64) []float64 {
	n := len(pauses)
	sums, squares := make([]float64, n+1), make([]float64, n+1)
	factorials, halves := make([]float64, n+1), make([]float64, n+1)
	for i := range n + 1 {
		factorials[i], halves[i] = logGamma(float64(i)+1), logGamma(2+float64(i)/2)
		if i < n {
			x := math.Log(pauses[i])
			sums[i+1], squares[i+1] = sums[i]+x, squares[i]+x*x
		}
	}
	// of is the marginal likelihood of the pauses from one to before another, all of
	// one kind. What is the same for every cut is left out.
	of := func(p kind, from, to int) float64 {
		if from == to {
			return 0
		}
		m := float64(to - from)
		total := sums[to] - sums[from]
		mean := total / m
		worth, shape, before := p.worth+m, 2+m/2, 2*p.variance
		scale := before + .5*(squares[to]-squares[from]-m*mean*mean) + .5*p.worth*m*(mean-p.mean)*(mean-p.mean)/worth
		return halves[to-from] + 2*math.Log(before) - shape*math.Log(scale) + .5*math.Log(p.worth/worth)
	}
	out, ways := make([]float64, n+1), make([]float64, n+1)
	for k := range out {
		for j := range k + 1 {
			// Nothing is known of the shares of the three kinds.
			ways[j] = of(atHand(), 0, j) + of(fetched(), j, k) + factorials[j] + factorials[k-j]
		}
		out[k] = of(changed(), k, n) + factorials[n-k] + sum(ways[:k+1])
	}
	out[n] += math.Log(single)
	return out
}

// sum adds numbers that are given by their logarithms.
func sum(logs []float64) float64 {
	most, total := slices.Max(logs), 0.
	for _, l := range logs {
		total += math.Exp(l - most)
	}
	return most + math.Log(total)
}

func logGamma(x float64) float64 {
	v, _ := math.Lgamma(x)
	return v
}
