package layer_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/layer"
)

func TestOf(t *testing.T) {
	l := layer.Layer{Units: [][]float64{{1, -2, .5}, {0, .25, 0}}, Weighs: []float64{3, -1, .125}}
	require.InDelta(t, 3*math.Tanh(.5)-math.Tanh(.25)+.125, l.Of([]float64{2, 1}), 1e-15)
}
