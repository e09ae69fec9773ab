package tally_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/interval"
	"strokeledger/internal/timecode"
)

// faulty is a turn of n strokes, the first x of which have the fault.
func faulty(player club.ID, day, x, n int) club.TurnRecord {
	r := club.TurnRecord{Base: timecode.Base{Num: 1, Den: 25}, Date: club.Date(fmt.Sprintf("2026-03-%02d", day))}
	r.ID = club.ID(fmt.Sprintf("turn %s %d", player, day))
	r.PlayerID, r.DrillID, r.ClipID, r.Last, r.LastTicks = player, "d", "c", 10*n, int64(10*n)
	for i := range n {
		r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprint(r.ID, i)), Frame: 10 * i, Ticks: int64(10 * i), Outcome: club.Good})
		if i < x {
			r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprint("mark", r.ID, i)), FaultID: "late", Frame: 10 * i, Ticks: int64(10 * i)})
		}
	}
	return looked(r, "coach", "late")
}

func TestVersus(t *testing.T) {
	cat := club.Catalogue{
		Players: []club.Player{{ID: "a", Name: "Ada"}, {ID: "b", Name: "Bo"}, {ID: "c", Name: "Cy"}},
		Drills:  []club.Drill{{ID: "d", Name: "Forehand", Method: club.Regular, Streak: 10}},
		Faults: []club.Fault{
			{ID: "late", Code: "LATE", Label: "Late", Sides: club.BothSides},
			{ID: "flat", Code: "FLAT", Label: "Flat", Sides: club.BothSides},
		},
	}
	var turns []club.TurnRecord
	for day := range 5 {
		turns = append(turns, faulty("a", 1+day, []int{1, 0, 2, 1, 0}[day], 18), faulty("b", 1+day, []int{7, 6, 8, 5, 7}[day], 18), faulty("c", 1+day, []int{3, 2, 3, 4, 3}[day], 10))
	}
	compare := func(player, rival club.ID) tally.Versus {
		k := tally.NewCounter(cat, tally.Options{Lean: true})
		for i := range turns {
			k.Add(&turns[i])
		}
		return k.Versus(player, rival)
	}

	v := compare("a", "b")
	require.Len(t, v.Comparisons, 1, "a fault that neither showed is not compared")
	c := v.Comparisons[0]
	require.Equal(t, []string{"Ada", "Bo", "LATE"}, []string{c.First, c.Second, c.Code})
	require.Equal(t, []int{4, 90, 33, 90}, []int{c.Strokes.First.X, c.Strokes.First.N, c.Strokes.Second.X, c.Strokes.Second.N})
	// Both checked against published values where they are made.
	d, limits, _ := interval.Difference(33, 90, 4, 90)
	require.InDelta(t, d, c.Strokes.Difference, 1e-12)
	require.InDelta(t, limits.Low, c.Strokes.Low, .03, "these turns hardly differ")
	require.True(t, c.Test.Survives)
	require.Equal(t, 1, v.Tested.Tests)
	require.InDelta(t, c.Test.P, c.Test.Adjusted, 1e-12, "one test needs no correction")

	rest := compare("a", "").Comparisons[0]
	require.Equal(t, "The rest of the club", rest.Second)
	require.Equal(t, []int{48, 140}, []int{rest.Strokes.Second.X, rest.Strokes.Second.N})

	require.Empty(t, compare("a", "nobody").Comparisons)
}
