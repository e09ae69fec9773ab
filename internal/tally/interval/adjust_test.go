package interval_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"strokeledger/internal/tally/interval"
)

// Benjamini Y, Hochberg Y (1995) JRSS B 57:289-300, section 4 (thrombolysis, 15
// tests); adjusted values computed with R 4.2.2 (p.adjust).
func TestAdjustAgainstBenjaminiHochberg(t *testing.T) {
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	want := []float64{.0015, .003, .0095, .035625, .0603, .06385714286, .06385714286, .0645, .0765, .486, .58118181818, .714875, .75323076923, .81321428571, 1}
	count := func(q float64) (n int) {
		for _, v := range interval.Adjust(p) {
			if v <= q {
				n++
			}
		}
		return n
	}
	for i, v := range interval.Adjust(p) {
		assert.InDelta(t, want[i], v, 1e-9)
	}
	assert.Equal(t, 4, count(.05), "the paper rejects the first four")
	assert.Equal(t, 9, count(.10))
	assert.Empty(t, interval.Adjust(nil))
	assert.Equal(t, []float64{.04, .04}, interval.Adjust([]float64{.04, .04}), "ties share the larger rank")

	rapid.Check(t, func(t *rapid.T) {
		order := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}).Draw(t, "order")
		shuffled := make([]float64, len(p))
		for to, from := range order {
			shuffled[to] = p[from]
		}
		before := slices.Clone(shuffled)
		for to, v := range interval.Adjust(shuffled) {
			if math.Abs(v-want[order[to]]) > 1e-9 {
				t.Fatalf("the order %v changed %v to %v", order, want[order[to]], v)
			}
		}
		if !slices.Equal(before, shuffled) {
			t.Fatal("the given values were changed")
		}
	})
}

// Five tests at once: what is below 0.05 alone need not stay there.
func ExampleAdjust() {
	fmt.Printf("%.3f\n", interval.Adjust([]float64{0.004, 0.03, 0.045, 0.2, 0.6}))
	// Output: [0.020 0.075 0.075 0.250 0.600]
}
