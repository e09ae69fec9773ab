package prior

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Against values of scipy 1.10.1, by ../testdata/reference.py.
func TestExpectAgainstScipy(t *testing.T) {
	// Marks per minute to expect: a gamma distribution of shape 3, 8 or 20 over 10 minutes.
	for shape, want := range map[int][2]float64{3: {.6187, 7.2247}, 8: {3.4538, 14.4227}, 20: {12.2165, 29.6709}} {
		e := Fit{Mean: .5, Strength: 2, How: Fitted}.Expect(shape-1, 8, true)
		assert.InDelta(t, want[0]/10, e.Low, .0017, "gamma of %v", shape)
		assert.InDelta(t, want[1]/10, e.High, .0017, "gamma of %v", shape)
	}
}
