package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A program may be killed while SQLite copies its log into the file, page after page
// from the first (sqlite.org/wal.html, section 2.1): then the file is torn, and
// whole with the log beside it.
func TestOpenAfterACheckpointThatWasKilled(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
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

// So it is where pages are written into the file at once and the journal has what
// was there before (sqlite.org/atomiccommit.html, section 4.2).
func TestOpenAfterAKilledCommitOnANetworkDrive(t *testing.T) {
	ctx := context.Background()
	far := Options{network: func(string) bool { return true }}
	dir := filepath.Join(t.TempDir(), "club")
	l := open(t, dir, Options{Create: true, network: far.network})
	fill(t, l)
	path := filepath.Join(dir, fileName)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	tx, err := l.write.BeginTx(ctx, nil)
	require.NoError(t, err)
	defer tx.Rollback()
	_, err = tx.Exec("PRAGMA cache_size=2")
	require.NoError(t, err)
	for n := range 50 {
		_, err = tx.Exec("INSERT INTO setting (key, value) VALUES (?, ?)", strconv.Itoa(n), string(make([]byte, 4000)))
		require.NoError(t, err)
	}
	journal, err := os.ReadFile(path + "-journal")
	require.NoError(t, err)
	require.NoError(t, tx.Commit())
	require.NoError(t, l.Close())
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Greater(t, len(whole), len(before))

	dir = t.TempDir()
	path = filepath.Join(dir, fileName)
	require.NoError(t, os.WriteFile(path, whole[:len(before)], 0o600))
	require.NoError(t, os.WriteFile(path+"-journal", journal, 0o600))
	again := open(t, dir, far)
	sessions, err := again.Sessions(ctx)
	require.NoError(t, err)
	require.Len(t, sessions, 2)
}

// While another program closes, its log goes into the file and is then removed: what
// looks torn at one moment, and has no log the next, is whole by then.
func TestOpenWhileAnotherCloses(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	require.NoError(t, l.Close())
	var stop atomic.Bool
	var other sync.WaitGroup
	other.Go(func() {
		for n := 0; !stop.Load(); n++ {
			l, err := Open(ctx, l.dir, Options{})
			if !assert.NoError(t, err) {
				return
			}
			assert.NoError(t, l.SetSetting(ctx, "large", string(make([]byte, 1+n%2*400000))))
			_, err = l.write.ExecContext(ctx, "VACUUM")
			assert.NoError(t, errors.Join(err, l.Close()))
		}
	})
	defer other.Wait()
	defer stop.Store(true)
	for range 3000 {
		_, err := readHeader(ctx, filepath.Join(l.dir, fileName))
		require.NoError(t, err)
	}
}
