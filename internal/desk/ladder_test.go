package desk_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
)

func TestRulingIsKeptAndUndone(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	drill := b.cat.Drills[0]
	r, err := b.Ladder.SaveRuling(ctx, club.Ruling{PlayerID: b.player.ID, DrillID: drill.ID, Passed: true, Reason: "  Seen in a match.  "})
	require.NoError(t, err)
	require.Equal(t, "Seen in a match.", r.Reason)
	require.Equal(t, b.cat.Coaches[0].ID, r.CoachID)
	require.NotEmpty(t, r.Date)

	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, "rung "+drill.Name+" of Ines Varga passed", st.Undo)

	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	err = b.Ladder.RemoveRulings(ctx, b.player.ID, drill.ID)
	require.ErrorContains(t, err, "nothing to take back")

	_, err = b.Library.Redo(ctx)
	require.NoError(t, err)
	require.NoError(t, b.Ladder.RemoveRulings(ctx, b.player.ID, drill.ID))
	require.ErrorContains(t, b.Ladder.RemoveRulings(ctx, b.player.ID, drill.ID), "nothing to take back")
}

func TestRulingNeedsItsReason(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	good := club.Ruling{PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, Reason: "Elbow first."}
	for name, spoil := range map[string]func(*club.Ruling){
		"reason": func(r *club.Ruling) { r.Reason = " \n" },
		"long":   func(r *club.Ruling) { r.Reason = strings.Repeat("x", 100_000) },
		"date":   func(r *club.Ruling) { r.Date = "14 March" },
		"player": func(r *club.Ruling) { r.PlayerID = "gone" },
		"drill":  func(r *club.Ruling) { r.DrillID = "gone" },
	} {
		r := good
		spoil(&r)
		_, err := b.Ladder.SaveRuling(ctx, r)
		_, problem := club.AsProblem(err)
		require.True(t, problem, "%s: %v", name, err)
	}
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.NotContains(t, st.Undo, "rung", "nothing was kept")
}

// Yesterday's tries are not today's.
func TestTriesOfToday(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 5, Last: 70})
	require.NoError(t, err)
	_, err = b.Strokes.Add(ctx, b.clip, 20, club.Good)
	require.NoError(t, err)
	for day, want := range map[int]int{14: 1, 15: 0} {
		now := func() time.Time { return time.Date(2026, 3, day, 18, 0, 0, 0, time.Local) }
		d, err := desk.Open(ctx, b.dir, library.Options{Now: now})
		require.NoError(t, err)
		s, err := d.Summary.Sheet(ctx, summary.Query{}, b.player.ID)
		require.NoError(t, err)
		for _, r := range s.Players[0].Ladder.Rungs {
			if r.DrillID == b.cat.Drills[0].ID {
				require.Equal(t, []int{1, want}, []int{r.Tries, r.TriesToday}, "on the %dth", day)
			}
		}
		require.NoError(t, d.Close())
	}
}

func TestGoalsOfTheClub(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	w, err := b.Ladder.Goals(ctx)
	require.NoError(t, err)
	require.Equal(t, ladder.Goals{TriesCap: 5, Irregular: 0.5}, w)
	want := ladder.Goals{TriesCap: 3, Irregular: 0.4}
	require.NoError(t, b.Ladder.SetGoals(ctx, want))
	b.reopen(t)
	w, err = b.Ladder.Goals(ctx)
	require.NoError(t, err)
	require.Equal(t, want, w)
	for _, wrong := range []ladder.Goals{{TriesCap: -1}, {TriesCap: 101}, {Irregular: -0.1}, {Irregular: 1.1}} {
		_, problem := club.AsProblem(b.Ladder.SetGoals(ctx, wrong))
		require.True(t, problem, "%+v", wrong)
	}
}
