package tally_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// Players whose rate stays as it is, but differs from turn to turn: a trend is
// found in about one of twenty, and the slope's interval holds nought in about
// nineteen. Strokes taken as independent would find one in every four or five.
func TestTrendAmongTurnsThatDiffer(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	c := ladderClub()
	const players, rho, p = 600, .06, .2
	alarms, naive, holds := 0, 0, 0
	for range players {
		var turns []club.TurnRecord
		var x, n []int
		var order []float64
		for day := range 8 {
			x, n, order = append(x, 0), append(n, 0), append(order, float64(day))
			for k := range 3 {
				q := distuv.Beta{Alpha: p * (1/rho - 1), Beta: (1 - p) * (1/rho - 1), Src: rnd}.Rand()
				hits := int(distuv.Binomial{N: 30, P: q, Src: rnd}.Rand())
				turns = append(turns, faults(club.ID(rune('a'+3*day+k)), "p1", "reg2", club.Date([]string{
					"2026-01-05", "2026-01-19", "2026-02-02", "2026-02-16", "2026-03-02", "2026-03-16", "2026-03-30", "2026-04-13"}[day]), 30, map[club.ID]int{"near": hits}))
				x[day] += hits
				n[day] += 30
			}
		}
		trend := line(t, tally.SummariseWith(c, turns, tally.Options{Lean: true}).Players[0].All, "NEAR").Trend
		if trend.Test.P < .05 {
			alarms++
		}
		if trend.Slope.Low <= 0 && 0 <= trend.Slope.High {
			holds++
		}
		if _, plain, _ := tally.Armitage(x, n, order); plain < .05 {
			naive++
		}
	}
	assert.InDelta(t, .05, float64(alarms)/players, .03)
	assert.InDelta(t, .95, float64(holds)/players, .03)
	assert.Greater(t, float64(naive)/players, .15)
}

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
	short := line(t, tally.Summarise(ladderClub(), turns[:10], "", "").Players[0].All, "NEAR").Trend
	assert.Regexp(t, `: [+−]?\d\.\d points a month \(−\d\.\d to \+\d\.\d\)\.$`, short.Say)
}

// The test is Cochran and Armitage's, with its z divided by the root of the design
// effect.
func TestTrendIsArmitage(t *testing.T) {
	c := ladderClub()
	var turns []club.TurnRecord
	x := []int{6, 7, 9, 14, 23} // the pain trial of TestArmitageAgainstPublished
	n := []int{32, 33, 32, 32, 32}
	for i := range x {
		turns = append(turns, faults(club.ID(rune('a'+i)), "p1", "reg2", club.Date([]string{"2026-01-01", "2026-01-31", "2026-03-02", "2026-04-01", "2026-05-01"}[i]), n[i], map[club.ID]int{"near": x[i]}))
	}
	trend := line(t, tally.Summarise(c, turns, "", "").Players[0].All, "NEAR").Trend
	assert.Greater(t, trend.Effect, 1.)
	assert.InDelta(t, 4.79181258/math.Sqrt(trend.Effect), trend.Z, 1e-7)
	few := turns[1:] // four turns: no design effect is known
	trend = line(t, tally.Summarise(c, few, "", "").Players[0].All, "NEAR").Trend
	z, p, _ := tally.Armitage(x[1:], n[1:], []float64{1, 2, 3, 4})
	assert.Equal(t, 1., trend.Effect)
	assert.InDelta(t, z, trend.Z, 1e-12)
	assert.InDelta(t, p, trend.Test.P, 1e-12)
}
