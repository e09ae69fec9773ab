package swing_test

import (
	"math"
	"math/rand/v2"
)

// learned are the weights of units, hyperbolic tangents of sums of features, and what they
// weigh in the logarithm of how much likelier features are with a contact than without; the
// last weight of each is the constant. Stochastic gradients of the likelihood by Adam
// (Kingma DP, Ba J (2015), arXiv:1412.6980), with weights that decay.
func learned(x [][]float64, y []bool, units int, rng *rand.Rand) (in [][]float64, out []float64) {
	const rounds, batch, rate, decay, first, second = 25, 64, .01, .1, .9, .999
	n := len(x[0])
	mean, spread, yes := scaled(x, y)
	weights := make([]float64, units*(n+2)+1) // of each unit, then of what they weigh
	of := func(u int) []float64 { return weights[u*(n+1) : (u+1)*(n+1)] }
	for u := range units {
		for k := range of(u) {
			of(u)[k] = rng.NormFloat64() / math.Sqrt(float64(n))
		}
	}
	weigh := weights[units*(n+1):]
	for u := range weigh {
		weigh[u] = .3 * rng.NormFloat64()
	}
	slope, m, v := make([]float64, len(weights)), make([]float64, len(weights)), make([]float64, len(weights))
	z := make([]float64, n)
	says := make([]float64, units)
	one, two := 1., 1.
	for round := range rounds {
		order := rng.Perm(len(x))
		for len(order) > 0 {
			some := order[:min(batch, len(order))]
			order = order[len(some):]
			clear(slope)
			for _, i := range some {
				sum := weigh[units]
				for k := range z {
					z[k] = (x[i][k] - mean[k]) / spread[k]
				}
				for u := range says {
					w := of(u)
					says[u] = w[n]
					for k, v := range z {
						says[u] += w[k] * v
					}
					says[u] = math.Tanh(says[u])
					sum += weigh[u] * says[u]
				}
				d := 1 / (1 + math.Exp(-sum)) / float64(len(some))
				if y[i] {
					d -= 1 / float64(len(some))
				}
				for u, s := range says {
					slope[units*(n+1)+u] += d * s
					back := d * weigh[u] * (1 - s*s)
					for k, v := range z {
						slope[u*(n+1)+k] += back * v
					}
					slope[u*(n+1)+n] += back
				}
				slope[len(slope)-1] += d
			}
			one, two = one*first, two*second
			for k, g := range slope {
				m[k], v[k] = first*m[k]+(1-first)*g, second*v[k]+(1-second)*g*g
				weights[k] -= rate * (1 - float64(round)/rounds) * (m[k]/(1-one)/(math.Sqrt(v[k]/(1-two))+1e-8) + decay*weights[k])
			}
		}
	}
	for u := range units {
		w := of(u)
		for k := range n {
			w[k] /= spread[k]
			w[n] -= w[k] * mean[k]
		}
		in = append(in, w)
	}
	weigh[units] -= math.Log(yes / (float64(len(x)) - yes))
	return in, weigh
}

// scaled are mean and spread of each feature, and how often the answer is yes.
func scaled(x [][]float64, y []bool) (mean, spread []float64, yes float64) {
	mean, spread = make([]float64, len(x[0])), make([]float64, len(x[0]))
	for i, v := range x {
		for k := range v {
			mean[k] += v[k] / float64(len(x))
		}
		if y[i] {
			yes++
		}
	}
	for _, v := range x {
		for k := range v {
			spread[k] += (v[k] - mean[k]) * (v[k] - mean[k]) / float64(len(x))
		}
	}
	for k := range spread {
		spread[k] = math.Sqrt(spread[k] + 1e-9)
	}
	return mean, spread, yes
}
