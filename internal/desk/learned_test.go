package desk_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat"

	"strokeledger/internal/layer"
)

// learnedOdds is the layer that tells the logarithm of how much likelier features are where
// the answer is 1 than where it is 0.
func learnedOdds(x [][]float64, y []float64, units int, ridge float64, rng *rand.Rand) layer.Layer {
	l := learned(x, y, units, ridge, func(told float64) float64 { return 1 / (1 + math.Exp(-told)) }, rng)
	yes := stat.Mean(y, nil)
	l.Weighs[units] -= math.Log(yes / (1 - yes))
	return l
}

// learnedLevel is the layer that tells the answer itself, with the least squares.
func learnedLevel(x [][]float64, y []float64, units int, ridge float64, rng *rand.Rand) layer.Layer {
	mean, spread := stat.MeanStdDev(y, nil)
	z := make([]float64, len(y))
	for i, v := range y {
		z[i] = (v - mean) / spread
	}
	l := learned(x, z, units, ridge, func(told float64) float64 { return told }, rng)
	for u := range l.Weighs {
		l.Weighs[u] *= spread
	}
	l.Weighs[units] += mean
	return l
}

// learned fits a layer by stochastic gradients with Adam (Kingma DP, Ba J (2015),
// arXiv:1412.6980), with a ridge on all weights but the constants. means is the answer that
// is expected where the layer tells so much: the slope of what is made least is the
// difference of the two.
func learned(x [][]float64, y []float64, units int, ridge float64, means func(told float64) float64, rng *rand.Rand) (l layer.Layer) {
	const batch, rate, first, second = 128, .004, .9, .999
	rounds := max(30, 8000*batch/len(x))
	n := len(x[0])
	mean, spread := scaled(x)
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
				d := (means(sum) - y[i]) / float64(len(some))
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
				if k%(n+1) != n && k < len(slope)-1 {
					g += ridge / batch * weights[k]
				}
				m[k], v[k] = first*m[k]+(1-first)*g, second*v[k]+(1-second)*g*g
				weights[k] -= rate * (1 - float64(round)/float64(rounds)) * m[k] / (1 - one) / (math.Sqrt(v[k]/(1-two)) + 1e-8)
			}
		}
	}
	for u := range units {
		w := of(u)
		for k := range n {
			w[k] /= spread[k]
			w[n] -= w[k] * mean[k]
		}
		l.Units = append(l.Units, w)
	}
	l.Weighs = weigh
	return l
}

// scaled are mean and spread of each feature.
func scaled(x [][]float64) (mean, spread []float64) {
	column := make([]float64, len(x))
	for k := range x[0] {
		for i := range x {
			column[i] = x[i][k]
		}
		m, s := stat.MeanStdDev(column, nil)
		mean, spread = append(mean, m), append(spread, s+1e-5)
	}
	return mean, spread
}
