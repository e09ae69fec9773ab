package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
)

func TestNarrowIntervalsAreNotHidden(t *testing.T) {
	for want, s := range map[string]rate.Share{
		"7 of 52 strokes, 13 % (7–25)":               {X: 7, N: 52, Rate: 7. / 52, Low: .067, High: .253},
		"120 of 6000 strokes, 2.0 % (1.7–2.4)":       {X: 120, N: 6000, Rate: .02, Low: .0168, High: .0239},
		"3850 of 300850 strokes, 1.28 % (1.24–1.32)": {X: 3850, N: 300850, Rate: .0128, Low: .0124, High: .0132},
	} {
		assert.Equal(t, want, shareText(s))
	}
	for want, c := range map[string]contrast.Contrast{
		"+33 points (+6 to +56), a difference":              {Difference: .333, Low: .06, High: .56, Say: "a difference"},
		"0 points (−21 to +21), no difference shown":        {Difference: -.001, Low: -.21, High: .21, Say: "no difference shown"},
		"+1 point (−2 to +4), no difference shown":          {Difference: .01, Low: -.02, High: .04, Say: "no difference shown"},
		"+1.0 points (0.0 to +2.0), a difference":           {Difference: .01, Low: .0001, High: .02, Say: "a difference"},
		"+0.13 points (+0.05 to +0.23), a difference":       {Difference: .0013, Low: .0005, High: .0023, Say: "a difference"},
		"0.00 points (−0.10 to +0.10), no difference shown": {Difference: -.00001, Low: -.001, High: .001, Say: "no difference shown"},
	} {
		assert.Equal(t, want, pointsText(c))
	}
}
