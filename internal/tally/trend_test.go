package tally_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/contrast"
)

// Over many sessions a trend is known to hundredths of a point, and is told so.
func TestTrendHasTheDecimalsThatItsIntervalNeeds(t *testing.T) {
	var turns []club.TurnRecord
	monday := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	for week := range 100 {
		day := club.Date(monday.AddDate(0, 0, 7*week).Format(time.DateOnly))
		turns = append(turns, faults(club.ID(day), "p1", "reg2", day, 100, map[club.ID]int{"near": 4 + week%3}))
	}
	long := line(t, tally.Summarise(ladderClub(), turns, "", "").Players[0].All, "NEAR").Trend
	assert.Regexp(t, `^No change shown over 100 sessions: [+−]?0\.\d\d points a month \(−0\.\d\d to \+0\.\d\d\)\.$`, long.Say)
	for i, week := range []int{22, 31, 25, 28, 20, 30, 24, 27, 21, 32, 26, 23, 29, 25} {
		turns[i] = faults(turns[i].ID, "p1", "reg2", turns[i].Date, 100, map[club.ID]int{"near": week})
	}
	short := line(t, tally.Summarise(ladderClub(), turns[:14], "", "").Players[0].All, "NEAR").Trend
	assert.Regexp(t, `: [+−]?\d\.\d points a month \(−\d\.\d to \+\d\.\d\)\.$`, short.Say)
	few := line(t, tally.Summarise(ladderClub(), turns[:3], "", "").Players[0].All, "NEAR").Trend
	assert.Equal(t, "Too early to tell over three sessions: too few turns were seen to know how far one day differs from another by chance.", few.Say)
	assert.Equal(t, []any{contrast.TooEarly, true, (*contrast.Slope)(nil), (*contrast.Test)(nil)}, []any{few.Direction, few.TooFewTurns, few.Slope, few.Test})
}

// Whatever the sessions and their dates, a direction is only said where the interval
// of the slope leaves nought out, and it is the slope's: one model has both.
func TestDirectionsAreThoseOfTheirIntervals(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	said, c := 0, fewCatalogue(1)
	for range 400 {
		w := practice{draw: moody, rho: .1, regular: everywhere, irregular: everywhere}
		first, second := w.play(rnd, "p0", 6, 3, 0), practice{draw: moody, rho: .1, regular: []float64{.4, .4, .3, .05, .15}, irregular: everywhere}.play(rnd, "p0", 6, 3, 0)
		for i := range second { // dates with gaps of any length
			second[i].ID += "later"
			second[i].Date = dayOf(54 + rnd.IntN(400))
		}
		for _, l := range tally.SummariseWith(c, append(first, second...), tally.Options{Lean: true}).Players[0].All.Faults {
			tr := l.Trend
			if tr == nil || tr.Direction != contrast.Rising && tr.Direction != contrast.Falling {
				continue
			}
			said++
			rising := tr.Direction == contrast.Rising
			require.True(t, rising && tr.Slope.Low > 0 || !rising && tr.Slope.High < 0, fmt.Sprintf("%s %+v", tr.Say, *tr.Slope))
			require.Equal(t, rising, tr.Z > 0)
		}
	}
	assert.Greater(t, said, 100, "or nothing was looked at")
}
