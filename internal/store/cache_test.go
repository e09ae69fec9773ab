package store

import (
	"context"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// The short form; the long one is 400, see DEVELOPERS.md.
var exchanges = flag.Int("exchanges", 25, "how many pairs of pages of the caches are exchanged")

// manyPacks is a library whose caches take many pages, closed, with what its clips
// hold, and the pages that are of a cache alone.
func manyPacks(t *testing.T) (dir string, plain, want []club.TurnRecord, pages []int) {
	ctx := context.Background()
	l := busy(t)
	var err error
	plain, err = l.Record(ctx, Filter{})
	require.NoError(t, err)
	want = each(t, l, Filter{}, true, plain)
	for i := range 40 {
		require.NoError(t, l.PutIndex(ctx, id2("print", i), make([]byte, 3000)))
	}
	_, err = l.write.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, err)
	dir = l.Dir()
	require.NoError(t, l.Close())
	file, err := os.ReadFile(filepath.Join(dir, fileName))
	require.NoError(t, err)
	for n := 1; n < len(file)/pageSize; n++ {
		broken := append([]byte(nil), file...)
		clear(broken[n*pageSize : (n+1)*pageSize])
		if ofCache(t, broken) {
			pages = append(pages, n)
		}
	}
	require.Greater(t, len(pages), 10)
	return dir, plain, want, pages
}

const pageSize = 4096

func id2(kind string, n int) string { return string(id(kind, n)) }

// ofCache tells whether a file is damaged in nothing but caches.
func ofCache(t *testing.T, file []byte) bool {
	path := filepath.Join(t.TempDir(), "one.db")
	require.NoError(t, os.WriteFile(path, file, 0o600))
	db := connect(path, "mode=ro&immutable=1", 1)
	defer db.Close()
	ctx := context.Background()
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return false
	}
	defer tx.Rollback()
	names, err := texts(ctx, tx, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT IN ('pack', 'standing', 'frame_index', 'heard')")
	if err != nil {
		return false
	}
	for _, name := range names {
		if !whole(ctx, tx, name) {
			return false
		}
	}
	for _, name := range caches() {
		if !whole(ctx, tx, name) {
			return true
		}
	}
	return false
}

// Two pages of the caches that have changed places, or one that is empty, lose
// nothing: every reading tells what it told before, marks can be entered, and Check
// says what was made anew.
func TestDamagedCachesAreMadeAnew(t *testing.T) {
	ctx := context.Background()
	source, plain, want, pages := manyPacks(t)
	file, err := os.ReadFile(filepath.Join(source, fileName))
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, uint64(*exchanges)))
	renewed := 0
	for n := range *exchanges {
		a, b := pages[random.IntN(len(pages))], pages[random.IntN(len(pages))]
		spoilt := append([]byte(nil), file...)
		copy(spoilt[a*pageSize:], file[b*pageSize:(b+1)*pageSize])
		copy(spoilt[b*pageSize:], file[a*pageSize:(a+1)*pageSize])
		if a == b {
			clear(spoilt[a*pageSize : (a+1)*pageSize])
		}
		if !ofCache(t, spoilt) {
			continue // the file says the same as before
		}
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, fileName), spoilt, 0o600))
		l := open(t, dir, Options{})
		if n%3 == 0 {
			must(t, l, Put(player(7))) // needs no cache
		}
		if n%3 == 1 {
			mine := mark(900, 100, 0, 399)
			must(t, l, Put(mine))
			must(t, l, Remove[club.Mark](mine.ID))
		}
		require.Equal(t, want, each(t, l, Filter{}, true, plain), "pages %d and %d", a, b)
		require.Equal(t, want, each(t, l, Filter{}, true, plain), "pages %d and %d", a, b)
		_, err := l.Standings(ctx)
		require.NoError(t, err)
		_, _, err = l.Index(ctx, id2("print", 3))
		require.NoError(t, err)
		_, err = l.SessionPage(ctx, "", 20)
		require.NoError(t, err)
		require.NoError(t, l.PackAhead(ctx))
		r, err := l.Check(ctx)
		require.NoError(t, err)
		require.True(t, r.OK, "pages %d and %d: %v", a, b, r.Findings)
		say, err := l.Renewed(ctx)
		require.NoError(t, err)
		require.Contains(t, say, "made anew", "pages %d and %d", a, b)
		say, err = l.Renewed(ctx)
		require.NoError(t, err)
		require.Empty(t, say)
		renewed++
		require.NoError(t, l.Close())
	}
	require.Greater(t, renewed, *exchanges/3)
}

// A library that cannot be written is read without its damaged caches.
func TestDamagedCachesOfALibraryThatIsOnlyRead(t *testing.T) {
	dir, plain, want, pages := manyPacks(t)
	path := filepath.Join(dir, fileName)
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, n := range pages {
		clear(file[n*pageSize : (n+1)*pageSize])
	}
	require.NoError(t, os.WriteFile(path, file, 0o600))
	l := open(t, dir, Options{})
	l.readOnly = true
	require.Equal(t, want, each(t, l, Filter{}, true, plain))
	_, err = l.Standings(context.Background())
	require.NoError(t, err)
	l.readOnly = false
}
