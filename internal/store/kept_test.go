package store

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Backups that the program made are listed, newest first; what was damaged, half
// written or not ours is not offered. Two of one second do not meet.
func TestBackupsAreListed(t *testing.T) {
	dir, ctx := filepath.Join(t.TempDir(), "a [b]"), t.Context()
	none, err := Backups(dir)
	require.NoError(t, err)
	require.Empty(t, none)

	now := time.Date(2026, 3, 14, 18, 30, 0, 0, time.UTC)
	o := Options{Create: true, Now: func() time.Time { return now }}
	l, err := Open(ctx, dir, o)
	require.NoError(t, err)
	daily, err := l.BackupDaily(ctx)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	require.NoError(t, os.Chtimes(daily, now, now.Add(-time.Hour)))
	for range 3 {
		require.NoError(t, Restore(ctx, dir, daily, o))
	}
	requireSentence(t, Restore(ctx, dir, filepath.Join(dir, fileName), o), errNotLibrary, "ledger itself")
	require.NoError(t, os.WriteFile(filepath.Join(dir, backupFolder, "ledger-damaged-20260314-183000.db"), nil, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, backupFolder, "other.db"), nil, 0o600))

	all, err := Backups(dir)
	require.NoError(t, err)
	kinds := []string{}
	for _, k := range all {
		kinds = append(kinds, k.Kind)
		require.Positive(t, k.Bytes)
		require.FileExists(t, k.Path)
	}
	require.Equal(t, []string{"before-restore", "before-restore", "before-restore", "daily"}, kinds)
}
