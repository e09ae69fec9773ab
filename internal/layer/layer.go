// Package layer is one layer of units: what a network that has one makes of features.
package layer

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Layer tells a number from features. It is a value that nothing changes, and safe for
// concurrent use.
type Layer struct {
	Units  [][]float64 // of each unit the weights of the features, then its constant
	Weighs []float64   // what each unit weighs, then a constant
}

// Of is the weighted sum of the units, each the hyperbolic tangent of its sum of features.
// There are as many features as each unit has weights, less one.
func (l Layer) Of(features []float64) float64 {
	n := len(features)
	sum := l.Weighs[len(l.Units)]
	for u, w := range l.Units {
		sum += l.Weighs[u] * math.Tanh(w[n]+floats.Dot(w[:n], features))
	}
	return sum
}
