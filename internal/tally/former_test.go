package tally_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// Former players count for the team, and nobody is compared with them.
func TestFormerPlayersAreTheTeamsOnly(t *testing.T) {
	turns := []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(100, "late")),
		turn("t2", "p2", "d1", "2026-03-02", 300, "gggg", at(1300, "late")),
		turn("t3", "p3", "d1", "2026-03-02", 600, "gggg", at(2500, "late")),
	}
	s := tally.SummariseWith(catalogue(), turns, tally.Options{Former: "p3"})
	assert.Equal(t, 12, s.Team.All.Strokes)
	require.Len(t, s.Players, 2)
	for _, p := range s.Players {
		assert.NotEqual(t, club.ID("p3"), p.PlayerID)
	}
	require.NotEmpty(t, s.Rankings)
	for _, r := range s.Rankings {
		assert.Len(t, r.Players, 2)
		assert.Equal(t, 2, r.Fit.Players)
	}
	one := tally.SummariseWith(catalogue(), turns[1:], tally.Options{Former: "p3"})
	assert.Contains(t, one.Tested.Over, "the team's sheet and in the player's", "the team is not the player")
}

// A ladder is a fact of all drills, whichever are counted.
func TestLadderOfAllDrills(t *testing.T) {
	turns := []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggggggggg"),
		turn("t2", "p1", "d2", "2026-03-02", 2000, "ggm"),
	}
	whole := tally.SummariseWith(catalogue(), turns, tally.Options{})
	some := tally.SummariseWith(catalogue(), turns, tally.Options{Drills: []club.ID{"d2"}})
	assert.Equal(t, 3, some.Players[0].All.Strokes)
	assert.Len(t, some.Players[0].Drills, 1)
	assert.Equal(t, whole.Players[0].Ladder, some.Players[0].Ladder)
	assert.Positive(t, rung(t, some.Players[0].Ladder, "d1").Tries)
}
