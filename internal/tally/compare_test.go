package tally_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/rate"
)

func comparison(t *testing.T, s tally.Sheet, kind contrast.ComparisonKind, code string) contrast.Comparison {
	t.Helper()
	for _, c := range s.Comparisons {
		if c.Kind == kind && c.Code == code {
			return c
		}
	}
	t.Fatalf("no comparison of %s by %s", code, kind)
	return contrast.Comparison{}
}

func has(s tally.Sheet, kind contrast.ComparisonKind, code string) bool {
	for _, c := range s.Comparisons {
		if c.Kind == kind && c.Code == code {
			return true
		}
	}
	return false
}

// By hand: forehand, backhand in turn; LATE on two of four backhands and on one of
// four forehands, and on a stroke of unknown side that is in neither.
func TestCompareSides(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d2", "2026-03-02", 0, "gggggggg", at(100, "late"), at(200, "late"), at(400, "late"), at(600, "elbow")),
		turn("t2", "p1", "d3", "2026-03-03", 0, "gg", at(100, "late")),
	}, "", "")
	c := comparison(t, s.Players[0], contrast.SidesOf, "LATE")
	assert.Equal(t, []string{"Forehand", "Backhand"}, []string{c.First, c.Second})
	assert.Equal(t, *share(1, 4, 1), c.Strokes.First)
	assert.Equal(t, *share(2, 4, 1), c.Strokes.Second)
	assert.Equal(t, []any{.25, -1., 1., true}, []any{c.Strokes.Difference, c.Strokes.Low, c.Strokes.High, c.Strokes.TooFewTurns})
	assert.Nil(t, c.Test, "too few turns to tell")
	assert.False(t, has(s.Players[0], contrast.SidesOf, "ELB"), "it cannot happen on a forehand")
	assert.Nil(t, comparison(t, s.Players[0], contrast.SidesOf, "NEAR").Test, "neither has it: nothing to test")
}

func TestCompareBlocks(t *testing.T) {
	c := catalogue()
	c.Drills[0].Ball, c.Drills[1].Ball = club.PassiveBlock, club.ActiveBlock
	s := tally.Summarise(c, []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(100, "late")),
		turn("t2", "p1", "d2", "2026-03-02", 300, "ggg", at(100, "late"), at(200, "late")),
		turn("t3", "p1", "d3", "2026-03-02", 600, "ggggg", at(100, "late")),
	}, "", "")
	b := comparison(t, s.Players[0], contrast.Blocks, "LATE")
	assert.Equal(t, []rate.Share{*share(1, 4, 1), *share(2, 3, 1)}, []rate.Share{b.Strokes.First, b.Strokes.Second})
	assert.Equal(t, "Active block", b.Second)
}

func TestComparePeriods(t *testing.T) {
	turns := []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(100, "late"), at(200, "late")),
		turn("t2", "p1", "d1", "2026-03-09", 0, "ggg", at(100, "late")),
		turn("t3", "p1", "d2", "2026-03-10", 0, "gg"),
		turn("t4", "p2", "d1", "2026-03-10", 300, "gg"),
	}
	s := tally.SummariseWith(catalogue(), turns, tally.Options{Split: "2026-03-09"})
	assert.Equal(t, club.Date("2026-03-09"), s.Split)
	c := comparison(t, s.Players[1], contrast.Periods, "LATE")
	assert.Equal(t, []string{"Before 2026-03-09", "From 2026-03-09"}, []string{c.First, c.Second})
	assert.Equal(t, []rate.Share{*share(2, 4, 1), *share(1, 5, 2)}, []rate.Share{c.Strokes.First, c.Strokes.Second})
	assert.False(t, has(s.Players[0], contrast.Periods, "LATE"), "Frida played in one of them only")
	assert.Equal(t, *share(1, 7, 3), comparison(t, s.Team, contrast.Periods, "LATE").Strokes.Second)
	// Everything else is as without the day between.
	whole := tally.Summarise(catalogue(), turns, "", "")
	assert.Equal(t, whole.Players[1].All.Faults[0].PerStroke, s.Players[1].All.Faults[0].PerStroke)
	assert.Equal(t, whole.Players[1].Drills[1].Faults[0].MarkIDs, s.Players[1].Drills[1].Faults[0].MarkIDs)
	assert.False(t, has(whole.Players[1], contrast.Periods, "LATE"))
}

// Without strokes in one of the two parts, both are compared per minute.
func TestComparePerMinute(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "", at(100, "late"), at(200, "late"), at(300, "near")),
		turn("t2", "p1", "d3", "2026-03-02", 300, "", at(100, "late"), at(200, "late"), at(300, "late")),
		turn("t3", "p1", "d3", "2026-03-02", 600, "gg", at(100, "late")),
	}, "", "")
	c := comparison(t, s.Players[0], contrast.Methods, "LATE")
	assert.Nil(t, c.Strokes)
	require.NotNil(t, c.Minutes)
	assert.Equal(t, contrast.MinutePair{First: *pace(2, 10./60, 1), Second: *pace(3, 10./60, 1), TooFewTurns: true}, *c.Minutes)
	assert.Nil(t, c.Test)
	assert.Empty(t, s.Players[0].Contrasts, "the older form knows strokes only")
}

// Many faults of many players with nothing behind them: what is called a change is
// then false, and in 40 such clubs hardly any is. One true change is found.
func TestFalseDiscoveries(t *testing.T) {
	c := catalogue()
	c.Faults = nil
	for i := range 12 {
		c.Faults = append(c.Faults, club.Fault{ID: club.ID(fmt.Sprint("f", i)), Code: fmt.Sprint("F", i), Label: fmt.Sprint("Fault ", i), Sides: club.BothSides, Weight: 1})
	}
	play := func(rnd *rand.Rand, planted float64) tally.Summary {
		var turns []club.TurnRecord
		for n := range 24 {
			r := turn(club.ID(fmt.Sprint("t", n)), "p1", []club.ID{"d1", "d3"}[n%2], club.Date(fmt.Sprintf("2026-03-%02d", 1+n/2)), n%2*300, "")
			for _, f := range c.Faults {
				r = looked(r, "coach", f.ID)
			}
			for i := range 30 {
				r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprint(r.ID, "s", i)), Ticks: r.FirstTicks + int64(i*30), Outcome: club.Good})
				for f := range c.Faults {
					p := .1
					if f == 3 && n%2 == 1 {
						p += planted
					}
					if rnd.Float64() < p {
						r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprint(r.ID, "m", i, f)), FaultID: c.Faults[f].ID, Ticks: r.FirstTicks + int64(i*30)})
					}
				}
			}
			turns = append(turns, r)
		}
		return tally.Summarise(c, turns, "", "")
	}
	wrong := 0
	for seed := range uint64(40) {
		s := play(rand.New(rand.NewPCG(seed, 1)), 0)
		assert.Equal(t, 24, s.Tested.Tests, "twelve faults, two methods and a trend; the team is the player once more")
		assert.Equal(t, "every comparison and trend in the player's sheet", s.Tested.Over)
		assert.Equal(t, *s.Players[0].Comparisons[3].Test, *s.Team.Comparisons[3].Test)
		if s.Tested.Surviving > 0 {
			wrong++
		}
	}
	assert.LessOrEqual(t, wrong, 6, "of 40 clubs, at five in a hundred")
	s := play(rand.New(rand.NewPCG(99, 1)), .2)
	assert.True(t, comparison(t, s.Players[0], contrast.Methods, "F3").Test.Survives)
	assert.GreaterOrEqual(t, s.Tested.Surviving, 1)
	for _, sheet := range []tally.Sheet{s.Team, s.Players[0]} {
		for _, c := range sheet.Comparisons {
			if c.Test != nil {
				assert.Equal(t, c.Test.Adjusted <= .05, c.Test.Survives)
				assert.GreaterOrEqual(t, c.Test.Adjusted, c.Test.P)
			}
		}
	}
}
