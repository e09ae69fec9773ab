package desk_test

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
)

// A coach who replaces the wrong file in the dialog loses neither the ledger, nor a
// backup, nor a film.
func TestDocumentsDestroyNothing(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	dir := t.TempDir()
	film, backup := filepath.Join(dir, "film.mp4"), filepath.Join(dir, "backup.db")
	copyFile(t, clips+"a12_120fps.mp4", film)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	require.NotEmpty(t, added[0].ClipID, added[0].Say)
	require.NoError(t, b.Documents.Backup(ctx, backup))
	elsewhere := filepath.Join(dir, "elsewhere")
	require.NoError(t, os.Symlink(b.dir, elsewhere))

	for _, path := range []string{
		film, backup, filepath.Join(b.dir, "ledger.db"), filepath.Join(b.dir, "ledger.db-wal"),
		filepath.Join(b.dir, "ledger.db-journal"), filepath.Join(elsewhere, "ledger.db"),
	} {
		before, _ := os.ReadFile(path)
		page := func(f *os.File) error { _, err := io.WriteString(f, "page"); return err }
		requireProblem(t, b.Documents.WriteOf(ctx, summary.Query{}, "html", path, page), "")
		requireProblem(t, b.Documents.WriteOfClip(ctx, b.clip, "captions", document.File{Path: path, Write: page}), "")
		_, err := b.Documents.Reel(ctx, publish.ReelQuery{Player: b.player.ID, Unconsented: true}, path, func(int, int) {})
		requireProblem(t, err, "")
		after, _ := os.ReadFile(path)
		require.Equal(t, before, after, path)
	}

	// Others may go in the library's folder, and be replaced.
	for range 2 {
		err := b.Documents.WriteOf(ctx, summary.Query{Players: []club.ID{b.player.ID}}, "html", filepath.Join(b.dir, "page.html"), func(f *os.File) error { return nil })
		require.NoError(t, err)
	}
}
