package store

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A program may be killed while SQLite copies its log into the file, page after page
// from the first (sqlite.org/wal.html, section 2.1): then the file is torn, and
// whole with the log beside it.
func TestOpenAfterACheckpointThatWasKilled(t *testing.T) {
	ctx := context.Background()
	l := furnished(t)
	path := filepath.Join(l.dir, fileName)
	_, err := l.write.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, err)
	before, err := os.Stat(path)
	require.NoError(t, err)
	require.NoError(t, l.SetSetting(ctx, "large", string(make([]byte, 200000))))
	log, err := os.ReadFile(path + "-wal")
	require.NoError(t, err)
	require.NoError(t, l.Close())
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Greater(t, len(whole), int(before.Size()))

	dir := t.TempDir()
	path = filepath.Join(dir, fileName)
	require.NoError(t, os.WriteFile(path, whole[:before.Size()], 0o600))
	require.NoError(t, os.WriteFile(path+"-wal", log, 0o600))
	again, err := Open(ctx, dir, Options{})
	require.NoError(t, err)
	defer again.Close()
	large, err := again.Setting(ctx, "large")
	require.NoError(t, err)
	require.Len(t, large, 200000)
}
