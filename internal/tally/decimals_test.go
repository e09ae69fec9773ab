package tally_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
)

// The page reads the same vectors (numbers.test.ts).
func TestNumbersAreWrittenAsOnThePage(t *testing.T) {
	text, err := os.ReadFile("testdata/numbers.json")
	require.NoError(t, err)
	var v struct {
		Shares []struct {
			rate.Share
			Words string
		}
		Paces []struct {
			rate.Pace
			Words string
		}
		Slopes []struct {
			contrast.Slope
			Words string
		}
	}
	require.NoError(t, json.Unmarshal(text, &v))
	require.NotEmpty(t, v.Shares)
	for _, s := range v.Shares {
		rate, low, high := s.Percents()
		if low == "" {
			assert.Equal(t, s.Words, rate+" %, no interval: too few turns")
			continue
		}
		assert.Equal(t, s.Words, rate+" % ("+low+"–"+high+")")
	}
	for _, p := range v.Paces {
		rate, low, high := p.Numbers()
		assert.Equal(t, p.Words, rate+" a minute ("+low+"–"+high+")")
	}
	require.NotEmpty(t, v.Slopes)
	for _, s := range v.Slopes {
		assert.Equal(t, s.Words, s.Slope.Words())
	}
}
