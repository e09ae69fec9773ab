package trial_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/trial"
)

// Of strokes nearly all of which are without a fault, or nearly all of which have one and
// the same, half are drawn without and every fault comes.
func TestDrawSpreads(t *testing.T) {
	pool := make([][]club.ID, 300)
	for i := range 100 {
		pool[i] = []club.ID{"often"}
	}
	for i := range 4 {
		pool[100+i] = []club.ID{"seldom"}
	}
	pool[104] = []club.ID{"once", "often"}
	for seed := range int64(40) {
		at := trial.Draw(pool, 20, seed)
		require.Len(t, at, 20)
		require.Len(t, slices.Compact(slices.Sorted(slices.Values(at))), 20, "each once")
		count := map[club.ID]int{}
		for _, i := range at {
			for _, f := range pool[i] {
				count[f]++
			}
			if len(pool[i]) == 0 {
				count[""]++
			}
		}
		require.Equal(t, 10, count[""])
		require.GreaterOrEqual(t, count["seldom"], 3)
		require.Equal(t, 1, count["once"])
		require.Equal(t, at, trial.Draw(pool, 20, seed))
	}
	require.NotEqual(t, trial.Draw(pool, 20, 1), trial.Draw(pool, 20, 2))
	require.Len(t, trial.Draw(pool[:7], 20, 1), 7, "no more than there are")
	require.Len(t, trial.Draw(pool[200:], 20, 1), 20, "also where none has a fault")
	require.Empty(t, trial.Draw(nil, 20, 1))
}

// What was seen comes in words first, then what so few strokes do not tell.
func TestScore(t *testing.T) {
	faults := []club.Fault{{ID: "e", Code: "ELBOW"}, {ID: "l", Code: "LATE"}, {ID: "n", Code: "NONE"}, {ID: "r", Code: "OLD", Retired: true}}
	var answers []trial.Answer
	for i := range 8 {
		a := trial.Answer{Right: []club.ID{"e"}, Said: []club.ID{"e"}}
		if i < 2 {
			a.Said = nil
		}
		answers = append(answers, a)
	}
	answers = append(answers, trial.Answer{}, trial.Answer{Said: []club.ID{"l"}})
	r := trial.Score(faults, answers)
	require.Equal(t, "On 7 of 10 strokes you saw just what is settled.", r.Say)
	var says []string
	for _, l := range r.Lines {
		says = append(says, fmt.Sprint(l.FaultID, ": ", l.Say, " ", l.Note))
	}
	require.Equal(t, []string{
		"e: Of 8 ELBOW, you saw 6. Somebody who sees anything from 41 to 93 of 100 may answer so.", // Wilson of 6 in 8: 0.409 to 0.929
		"l: You said LATE once where it is not. ",
		": Of 2 strokes without a fault, you left 1 without. Somebody who sees anything from 9 to 91 of 100 may answer so.",
	}, says)
	require.Contains(t, r.Cannot, "10 strokes are few")
	require.Contains(t, r.Cannot, "Nothing is said of NONE, which was not among them.")
	require.Equal(t, 7, r.Same)
}
