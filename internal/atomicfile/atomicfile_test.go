package atomicfile_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/atomicfile"
)

// write makes a file under a temporary name, with a text in it.
func write(t *testing.T, path, text string) *atomicfile.File {
	f, err := atomicfile.Create(path, ".part-*")
	require.NoError(t, err)
	_, err = f.WriteString(text)
	require.NoError(t, err)
	return f
}

// holds checks that a folder holds these files and no others.
func holds(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	got := map[string]string{}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		got[e.Name()] = string(text)
	}
	require.Equal(t, want, got)
}

func TestWholeOrNotAtAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	f := write(t, path, "old")
	holds(t, filepath.Dir(path), map[string]string{filepath.Base(f.Name()): "old"})
	require.False(t, f.Named())
	require.NoError(t, f.Commit())
	require.True(t, f.Named())
	f.Discard() // takes nothing away any more
	holds(t, filepath.Dir(path), map[string]string{"a": "old"})
	st, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o600), st.Mode().Perm())

	f = write(t, path, "given up")
	f.Discard()
	f.Discard()
	holds(t, filepath.Dir(path), map[string]string{"a": "old"})

	f = write(t, path, "second")
	require.ErrorIs(t, f.CommitNew(), fs.ErrExist)
	f.Discard()
	holds(t, filepath.Dir(path), map[string]string{"a": "old"})

	require.NoError(t, write(t, path, "new").Commit())
	require.NoError(t, write(t, filepath.Join(filepath.Dir(path), "b"), "beside").CommitNew())
	holds(t, filepath.Dir(path), map[string]string{"a": "new", "b": "beside"})
}

// What stands in the way keeps what is there, and leaves nothing.
func TestNothingIsLeftOfAFailure(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	require.NoError(t, os.MkdirAll(filepath.Join(path, "folder"), 0o700))
	f := write(t, path, "x")
	require.Error(t, f.Commit(), "a folder has that name")
	f.Discard()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)

	_, err = atomicfile.Create(filepath.Join(dir, "absent", "a"), ".part-*")
	require.ErrorIs(t, err, fs.ErrNotExist)

	// Written to by others until nothing can be put on the disk any more.
	f = write(t, filepath.Join(dir, "b"), "x")
	require.NoError(t, f.File.Close())
	require.Error(t, f.Commit())
	f.Discard()
	entries, err = os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)
}

func TestMkdirAll(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "a", "b")
	for range 2 {
		require.NoError(t, atomicfile.MkdirAll(dir))
	}
	st, err := os.Stat(dir)
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o700), st.Mode().Perm())
	require.NoError(t, os.WriteFile(filepath.Join(top, "file"), nil, 0o600))
	require.Error(t, atomicfile.MkdirAll(filepath.Join(top, "file")))
	require.Error(t, atomicfile.MkdirAll(filepath.Join(top, "file", "below")))
}
