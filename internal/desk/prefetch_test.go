package desk

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
	"strokeledger/internal/timecode"
)

// What the background makes ready is all that a summary needs, and closing ends
// it.
func TestPrefetch(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	d, err := Open(ctx, dir, library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	edits := []store.Edit{store.Put(club.Player{ID: "p", Name: "Ada", Hand: club.RightHand}), store.Put(club.Session{ID: "s", Date: "2026-01-02"})}
	for i := range 60 {
		clip := club.ID(rune('a'+i%26)) + club.ID(rune('a'+i/26))
		edits = append(edits, store.Put(club.Clip{ID: clip, SessionID: "s", Name: "a.mp4", Path: "/films/a.mp4", Fingerprint: string(clip), Frames: 100, Seconds: 4, Width: 640, Height: 360, Base: timecode.Base{Num: 1, Den: 25}}),
			store.Put(club.Turn{ID: "t" + clip, ClipID: clip, PlayerID: "p", DrillID: cat.Drills[0].ID, Last: 90, LastTicks: 90}),
			store.Put(club.Stroke{ID: "x" + clip, ClipID: clip, Frame: 5, Ticks: 5, Outcome: club.Good, Source: club.ByHand, Confidence: 1}))
	}
	_, err = d.Library.DoAs(ctx, "", "fill", edits...)
	require.NoError(t, err)

	stopped, err := Open(ctx, dir, library.Options{})
	require.NoError(t, err)
	stopped.Summary.Prefetch()
	require.NoError(t, stopped.Close()) // and no goroutine is left that uses the library
	stopped.Summary.Prefetch()

	d.Summary.Prefetch()
	d.Library.Jobs.Wait()
	kept, err := d.Library.Standings(ctx)
	require.NoError(t, err)
	require.Empty(t, kept.Missing)
	require.Contains(t, kept.ByPlayer, club.ID("p"))
	o, err := d.Summary.Overview(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, 60, o.Team.All.Strokes)
}
