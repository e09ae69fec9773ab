package clip

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

func TestSizesOfAFolder(t *testing.T) {
	dir := t.TempDir()
	here, empty := filepath.Join(dir, "a.mp4"), filepath.Join(dir, "b.mp4")
	require.NoError(t, os.WriteFile(here, []byte("1234567"), 0o600))
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	var f Drives
	sizes, err := f.Sizes(t.Context(), dir, []string{filepath.Join(dir, "gone.mp4"), here, empty, dir})
	require.NoError(t, err)
	require.Equal(t, []int64{-1, 7, -1, -1}, sizes)
}

// A drive that hangs costs one wait for all its files; it is left alone until it
// answers, and nothing stays behind after that.
func TestFolderWhoseDriveHangs(t *testing.T) {
	d := newDrive(t, "/films")
	check := noLeak(t)
	d.hang()
	var f Drives
	d.drives = &f
	paths := []string{plainClip, longGroupClip, plainClip}
	for range 2 {
		d.requireSlow(func() error {
			sizes, err := d.sizes(context.Background(), paths)
			require.Empty(t, sizes)
			return err
		})
	}
	next := &deadline{d.path, &av.Watch{}, shortly, &f}
	_, err := next.sizes(context.Background(), paths)
	require.ErrorIs(t, err, ErrSlow, "not asked once more: it would answer")

	other := &deadline{"/other", &av.Watch{}, shortly, &f}
	sizes, err := other.sizes(context.Background(), paths)
	require.NoError(t, err, "other drives are")
	require.Len(t, sizes, 3)

	d.answer()
	require.NoError(t, again(func() error {
		sizes, err = d.sizes(context.Background(), paths)
		return err
	}))
	require.Len(t, sizes, 3)
	check()
	require.Empty(t, f.owed)
}

// Who does not wait any more gets what was found until then.
func TestSizesAreNotWaitedFor(t *testing.T) {
	d := newDrive(t, "/films")
	d.hang()
	ctx, stop := context.WithTimeout(context.Background(), shortly/10)
	defer stop()
	sizes, err := d.sizes(ctx, []string{plainClip})
	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.Empty(t, sizes)
	d.answer()
	require.NoError(t, again(func() error {
		_, err := d.sizes(context.Background(), []string{plainClip})
		return err
	}))
}

func TestFilesOfAFolder(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a.mp4"), []byte("1234567"), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "b"), 0o700))
	var f Drives
	files, err := f.Files(t.Context(), dir)
	require.NoError(t, err)
	require.Equal(t, []File{{"a.mp4", 7}}, files)
	_, err = f.Files(t.Context(), filepath.Join(dir, "gone"))
	require.ErrorIs(t, err, os.ErrNotExist)
	d := newDrive(t, dir)
	d.drives = &f
	d.hang()
	d.requireSlow(func() error { _, err := d.files(t.Context()); return err })
	_, err = f.Files(t.Context(), dir)
	require.ErrorIs(t, err, ErrSlow)
	d.answer()
	require.NoError(t, again(func() error {
		files, err = d.files(t.Context())
		return err
	}))
	require.Equal(t, []File{{"a.mp4", 7}}, files)
}
