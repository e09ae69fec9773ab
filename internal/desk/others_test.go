package desk_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/backup"
)

// A backup put in the place of the library sets the change log back: the window
// has to look again all the same.
func TestOthersRestore(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	file := filepath.Join(t.TempDir(), "safe.db")
	require.NoError(t, b.Documents.Backup(ctx, file))
	_, err := b.Marks.Add(ctx, b.clip, 7, b.cat.Faults[1].ID)
	require.NoError(t, err)
	_, err = b.Library.Others(ctx)
	require.NoError(t, err)
	require.NoError(t, backup.Restore(ctx, b.dir, file, "another program"))
	changed, err := b.Library.Others(ctx)
	require.NoError(t, err)
	require.True(t, changed)
	require.Empty(t, b.ledger(t).Marks)
}

// A coach who retires, or whose adding is undone, does not go on marking.
func TestCoachWhoIsGoneMarksNoMore(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	first := b.cat.Coaches[0].ID
	second, err := b.Catalogue.SaveCoach(ctx, club.Coach{Name: "Second"})
	require.NoError(t, err)
	require.NoError(t, b.Library.SetCoach(ctx, second.ID))
	second.Retired = true
	_, err = b.Catalogue.SaveCoach(ctx, second)
	require.NoError(t, err)
	m, err := b.Marks.Add(ctx, b.clip, 1, b.cat.Faults[0].ID)
	require.NoError(t, err)
	require.Equal(t, first, m.CoachID)
	for range 3 { // the mark, the retiring, the adding
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
	}
	st, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, first, st.CoachID)
	_, err = b.Marks.Add(ctx, b.clip, 1, b.cat.Faults[0].ID)
	require.NoError(t, err)
}

// A turn that somebody has removed meanwhile is not brought back by changing it.
func TestRemovedTurnStaysRemoved(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	turn, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 40})
	require.NoError(t, err)
	require.NoError(t, b.Turns.Remove(ctx, turn.ID))
	turn.Last = 50
	_, err = b.Turns.Save(ctx, turn)
	requireProblem(t, err, "")
	require.Empty(t, b.ledger(t).Turns)
}

// A clip of one picture has a sound strip too.
func TestEnvelopeOfOnePicture(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	for _, name := range []string{"a22_one_frame.mp4", "a31_no_pts.avi", "a40_dup_pts.ts"} {
		added, err := b.Sessions.Add(ctx, "2026-03-14", []string{clips + name}, nil)
		require.NoError(t, err)
		require.Empty(t, added[0].Say)
		b.listenToEnd(t, added[0].ClipID)
		for _, bins := range []int{1, 7, 20000} {
			peaks, err := b.Listening.Envelope(ctx, added[0].ClipID, 0, 0, bins)
			require.NoError(t, err, name)
			require.Len(t, peaks, bins)
		}
	}
}
