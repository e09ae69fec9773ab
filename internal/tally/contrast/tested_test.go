package contrast_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/tally/contrast"
)

func TestTestedCounts(t *testing.T) {
	for _, c := range []struct {
		is   contrast.Tested
		says string
	}{
		{contrast.Tested{Comparisons: 3, Trends: 1, Over: "every one"}, "Of every one, 3 comparisons and one trend had enough turns and faults to be tested. None of them holds after the correction for so many (Benjamini and Hochberg)."},
		{contrast.Tested{Comparisons: 1, Surviving: 1, Over: "every one"}, "Of every one, one comparison and no trend had enough turns and faults to be tested. It holds after the correction for so many (Benjamini and Hochberg). Of what holds, at most about one in twenty is chance all the same."},
		{contrast.Tested{Comparisons: 2, Trends: 2, Surviving: 2, Over: "every one"}, "Of every one, 2 comparisons and 2 trends had enough turns and faults to be tested. 2 of them hold after the correction for so many (Benjamini and Hochberg). Of what holds, at most about one in twenty is chance all the same."},
	} {
		c.is.Tests = c.is.Comparisons + c.is.Trends
		c.is.Describe()
		assert.Equal(t, c.says, c.is.Say)
	}
}
