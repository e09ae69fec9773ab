package tally_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// Under a table of comparisons that all say "too few turns", what was tested must not
// read as if they were meant.
func TestTestedSaysWhatWasTested(t *testing.T) {
	var turns []club.TurnRecord
	for n := range 12 { // nobody plays irregular drills more than once: trends only
		id := club.ID("d1")
		if n == 11 {
			id = "d3"
		}
		var marks []club.Mark
		for i := range 2 + n%5 {
			marks = append(marks, at(int64(100*(1+i)), "late"))
		}
		turns = append(turns, turn(club.ID(rune('a'+n)), "p1", id, dayOf(9*n), 0, "gggggggggggg", marks...))
	}
	s := tally.Summarise(catalogue(), turns, "", "")
	assert.Equal(t, 0, s.Tested.Comparisons)
	assert.Positive(t, s.Tested.Trends)
	assert.Equal(t, s.Tested.Tests, s.Tested.Trends)
	assert.Equal(t, "Of every comparison and trend in the player's sheet, one trend and no comparison had enough turns and faults to be tested. "+
		"It does not hold after the correction for so many (Benjamini and Hochberg).", s.Tested.Say)
	assert.Empty(t, tally.Summarise(catalogue(), turns[:1], "", "").Tested.Say, "nothing was tested")
}
