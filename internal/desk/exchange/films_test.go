package exchange

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/report/record"
)

// A copy that was cut short goes on where it stopped, whatever lies there by then; one
// that is whole is not made again; another file of that name is not replaced.
func TestCopyingGoesOn(t *testing.T) {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "film.mp4"), filepath.Join(dir, "copy.mp4")
	data := make([]byte, 5*pieceSize+17)
	rnd := rand.New(rand.NewPCG(16, 2))
	for i := range data {
		data[i] = byte(rnd.Uint32())
	}
	require.NoError(t, os.WriteFile(from, data, 0o600))
	want := sha256.Sum256(data)
	for _, had := range [][]byte{nil, data[:1], data[:2*pieceSize], data[:2*pieceSize+5], append(append([]byte{}, data[:pieceSize]...), make([]byte, 9*pieceSize)...), data} {
		require.NoError(t, os.RemoveAll(to))
		if had != nil {
			require.NoError(t, os.WriteFile(to+partName, had, 0o600))
		}
		sum, n, err := copyFilm(t.Context(), from, to, "", func(int64) {})
		require.NoError(t, err)
		require.EqualValues(t, len(data), n)
		require.Equal(t, hex.EncodeToString(want[:]), sum)
		got, err := os.ReadFile(to)
		require.NoError(t, err)
		require.True(t, string(got) == string(data))
		require.NoFileExists(t, to+partName)
		_, _, err = copyFilm(t.Context(), from, to, "", func(int64) {})
		require.NoError(t, err, "once more")
	}

	require.NoError(t, os.Remove(to))
	ctx, stop := context.WithCancel(t.Context())
	_, _, err := copyFilm(ctx, from, to, "", func(n int64) {
		if n >= 2*pieceSize {
			stop()
		}
	})
	require.True(t, errors.Is(err, context.Canceled), "%v", err)
	part, err := os.Stat(to + partName)
	require.NoError(t, err)
	require.GreaterOrEqual(t, part.Size(), int64(2*pieceSize))
	require.NoFileExists(t, to)

	require.NoError(t, os.WriteFile(to, []byte("another film"), 0o600))
	_, _, err = copyFilm(t.Context(), from, to, "", func(int64) {})
	require.ErrorContains(t, err, "another file")
	got, err := os.ReadFile(to)
	require.NoError(t, err)
	require.Equal(t, "another film", string(got))
}

// A film that is not the one that was handed over is not taken, nor one outside the folder.
func TestFilmsAreChecked(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "work.json")
	require.NoError(t, os.Mkdir(beside(file), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(beside(file), "a.mp4"), []byte("film"), 0o600))
	sum := sha256.Sum256([]byte("film"))
	film := record.Film{Fingerprint: "p", File: "a.mp4", Bytes: 4, SHA256: hex.EncodeToString(sum[:])}
	at, err := copyIn(t.Context(), []record.Film{film}, file, filepath.Join(dir, "here"), nil)
	require.NoError(t, err)
	require.Equal(t, map[string]string{"p": filepath.Join(dir, "here", "a.mp4")}, at)
	film.SHA256 = "other"
	_, err = copyIn(t.Context(), []record.Film{film}, file, filepath.Join(dir, "there"), nil)
	require.ErrorContains(t, err, "not the one that was handed over")
	left, err := os.ReadDir(filepath.Join(dir, "there"))
	require.NoError(t, err)
	require.Empty(t, left)
	_, err = copyIn(t.Context(), []record.Film{film}, file, beside(file), nil)
	require.ErrorContains(t, err, "not the one that was handed over")
	require.FileExists(t, filepath.Join(beside(file), "a.mp4"), "what was there before stays")
	for _, name := range []string{"../a.mp4", "/etc/passwd", "..", "", "b/a.mp4", `b\a.mp4`} {
		film.File = name
		_, err = copyIn(t.Context(), []record.Film{film}, file, filepath.Join(dir, "there"), nil)
		require.ErrorContains(t, err, "outside its folder", name)
	}
}
