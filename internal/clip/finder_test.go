package clip

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

func TestSizesOfAFolder(t *testing.T) {
	dir := t.TempDir()
	here, empty := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "b.mp4")
	require.NoError(t, os.WriteFile(here, []byte("1234567"), 0o600))
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	var f Finder
	sizes, err := f.Sizes(t.Context(), dir, []string{filepath.Join(dir, "gone.mp4"), here, empty, dir})
	require.NoError(t, err)
	require.Equal(t, []int64{-1, 7, -1, -1}, sizes)
}

// A drive that hangs costs one wait for all its files; it is left alone until it
// answers, and nothing stays behind after that.
func TestFolderWhoseDriveHangs(t *testing.T) {
	d := newDrive(t, "/films")
	settled := steady(t)
	d.hang()
	var f Finder
	paths := []string{plainClip, longGroupClip, plainClip}
	for range 2 {
		d.requireSlow(func() error {
			sizes, err := f.sizes(context.Background(), d.patience, paths)
			require.Empty(t, sizes)
			return err
		})
	}
	begun := time.Now()
	_, err := f.sizes(context.Background(), d.patience, paths)
	require.ErrorIs(t, err, ErrSlow)
	require.Less(t, time.Since(begun), shortly/2, "not asked once more")

	other := &patience{"/other", &av.Watch{}, shortly}
	sizes, err := f.sizes(context.Background(), other, paths)
	require.NoError(t, err, "other drives are")
	require.Len(t, sizes, 3)

	d.answer()
	require.NoError(t, again(func() error {
		sizes, err = f.sizes(context.Background(), d.patience, paths)
		return err
	}))
	require.Len(t, sizes, 3)
	settled()
	require.Empty(t, f.owed)
}

// Who does not wait any more gets what was found until then.
func TestSizesAreNotWaitedFor(t *testing.T) {
	d := newDrive(t, "/films")
	d.hang()
	ctx, stop := context.WithTimeout(context.Background(), shortly/10)
	defer stop()
	var f Finder
	sizes, err := f.sizes(ctx, d.patience, []string{plainClip})
	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.Empty(t, sizes)
	d.answer()
	require.NoError(t, again(func() error {
		_, err := f.sizes(context.Background(), d.patience, []string{plainClip})
		return err
	}))
}

func TestFilesOfAFolder(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a.mp4"), []byte("1234567"), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "b"), 0o700))
	var f Finder
	files, err := f.Files(t.Context(), dir)
	require.NoError(t, err)
	require.Equal(t, []File{{"a.mp4", 7}}, files)
	_, err = f.Files(t.Context(), filepath.Join(dir, "gone"))
	require.ErrorIs(t, err, os.ErrNotExist)
	d := newDrive(t, dir)
	d.hang()
	d.requireSlow(func() error { _, err := f.files(t.Context(), d.patience); return err })
	require.True(t, f.owes(dir))
	d.answer()
	require.NoError(t, again(func() error {
		files, err = f.files(t.Context(), d.patience)
		return err
	}))
	require.Equal(t, []File{{"a.mp4", 7}}, files)
}
