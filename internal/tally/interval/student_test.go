package interval_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/tally/interval"
)

// What books have, against values of another program: scipy 1.10.1, by
// ../testdata/reference.py.
func TestReference(t *testing.T) {
	for freedom, want := range map[float64]float64{8: 2.306, 8.5: 2.2826, 12: 2.17881, 30.5: 2.04087, 100: 1.98397} {
		assert.InDelta(t, want, interval.StudentQuantile(freedom), 3e-5, "Student's t with %v", freedom)
	}
	for x, want := range map[float64][2]float64{1: {.176525, 5.664934}, 7: {3.390864, 14.450595}, 30: {21.01509, 42.826369}} {
		low, high := interval.PoissonScore(x)
		assert.InDelta(t, want[0], low, 1e-5, "score interval of %v", x)
		assert.InDelta(t, want[1], high, 1e-5, "score interval of %v", x)
	}
}
