package rate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"strokeledger/internal/tally/rate"
)

func TestWilsonHoldsTheRateAndNarrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 1_000_000).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		s := rate.ShareOf(x, n)
		if !(0 <= s.Low && s.Low <= s.Rate && s.Rate <= s.High && s.High <= 1) {
			t.Fatalf("%d of %d: %v is not inside %v to %v", x, n, s.Rate, s.Low, s.High)
		}
		// One more good stroke lowers all three or leaves them.
		more := rate.ShareOf(x, n+1)
		if more.Rate > s.Rate || more.Low > s.Low || more.High > s.High {
			t.Fatalf("a good stroke raised %+v to %+v", s, more)
		}
		// The mirror image: faults and clean strokes change places.
		m := rate.ShareOf(n-x, n)
		if math.Abs(m.Low-(1-s.High)) > 1e-12 || math.Abs(m.High-(1-s.Low)) > 1e-12 {
			t.Fatalf("%+v is not the mirror of %+v", m, s)
		}
	})
}

func TestNoStrokesNoShare(t *testing.T) {
	assert.Nil(t, rate.ShareOf(0, 0))
}
