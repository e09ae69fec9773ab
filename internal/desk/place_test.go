package desk_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// oneClip is a new library with one clip of its own folder, and a mark taken back.
func oneClip(t *testing.T) (d *desk.Desk, root, film string, id club.ID) {
	t.Helper()
	ctx := t.Context()
	root = t.TempDir()
	film = filepath.Join(root, "card", "a.mp4")
	copyFile(t, clips+"a01_baseline.mp4", film)
	d, err := desk.Open(ctx, filepath.Join(root, "library"), library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Marks.Add(ctx, added[0].ClipID, 10, cat.Faults[0].ID)
	require.NoError(t, err)
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	return d, root, film, added[0].ClipID
}

// Another film under the old name must not be shown as the one that was marked:
// every mark would stand at another moment.
func TestAnotherFilmUnderTheOldName(t *testing.T) {
	d, _, film, id := oneClip(t)
	ctx := t.Context()
	_, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	release()
	require.NoError(t, d.Close())
	copyFile(t, clips+"a12_120fps.mp4", film)
	d, err = desk.Open(ctx, d.Library.Dir, library.Options{})
	require.NoError(t, err)
	defer d.Close()

	_, _, err = d.Footage.Open(ctx, id)
	requireProblem(t, err, "path")
	row, err := d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.True(t, row.Missing)

	// Of the same size, but not the same bytes.
	data, err := os.ReadFile(clips + "a01_baseline.mp4")
	require.NoError(t, err)
	data[len(data)/2] ^= 1
	require.NoError(t, os.WriteFile(film, data, 0o600))
	_, _, err = d.Footage.Open(ctx, id)
	requireProblem(t, err, "path")

	copyFile(t, clips+"a01_baseline.mp4", film)
	_, release, err = d.Footage.Open(ctx, id)
	require.NoError(t, err)
	release()
}

// Finding a file again is nothing that the coach did: undo and redo go on where
// they were.
func TestFindingAFileIsNoStepOfUndo(t *testing.T) {
	d, root, film, id := oneClip(t)
	ctx := t.Context()
	before, err := d.Library.State(ctx)
	require.NoError(t, err)
	require.NotEmpty(t, before.Redo)
	moved := filepath.Join(root, "clips", "a.mp4")
	require.NoError(t, os.MkdirAll(filepath.Dir(moved), 0o700))
	require.NoError(t, os.Rename(film, moved))
	row, err := d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.Equal(t, moved, row.Path)
	after, err := d.Library.State(ctx)
	require.NoError(t, err)
	require.Equal(t, before, after)
	_, err = d.Library.Redo(ctx)
	require.NoError(t, err)
	ch, err := d.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, 10, ch.Frame)
	_, err = d.Library.Undo(ctx) // adding the clip
	require.NoError(t, err)
	_, err = d.Library.Redo(ctx)
	require.NoError(t, err)
	row, err = d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.Equal(t, moved, row.Path, "and found once more where the redone entry has the old place")
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	_, err = d.Library.Undo(ctx)
	require.ErrorIs(t, err, store.ErrNothing)
}

// What uses a clip goes on using it while the clip is found elsewhere.
func TestClipInUseIsRelinked(t *testing.T) {
	d, root, _, id := oneClip(t)
	ctx := t.Context()
	held, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	other := filepath.Join(root, "b.mp4")
	copyFile(t, clips+"a01_baseline.mp4", other)
	_, err = d.Relink.Relink(ctx, id, other)
	require.NoError(t, err)
	_, err = held.JPEG(ctx, 70, 160)
	require.NoError(t, err)
	release()
	_, err = held.JPEG(ctx, 60, 160)
	require.Error(t, err, "closed when its last user left")
	again, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	defer release()
	require.NotSame(t, held, again)
}
