package store

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// requireSentence holds an error against what every error about a library must
// be: one of ours, and one plain sentence that names the folder.
func requireSentence(t require.TestingT, err, kind error, dir string) {
	require.ErrorIs(t, err, kind)
	require.Contains(t, err.Error(), dir)
	require.Regexp(t, regexp.MustCompile(`^[A-Z][^\n]*\.$`), err.Error())
}

// tree is every file under a folder with its content, to see that nothing was
// touched.
func tree(t *testing.T, dir string) map[string]string {
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files[path] = string(data)
		return err
	}))
	return files
}

func TestOpenRefusesWhatIsNoLibrary(t *testing.T) {
	ctx := context.Background()
	foreign := func(t *testing.T, path string) {
		db, err := sql.Open("sqlite3", path)
		require.NoError(t, err)
		_, err = db.Exec("PRAGMA journal_mode=WAL; CREATE TABLE x (y); PRAGMA user_version=1")
		require.NoError(t, errors.Join(err, db.Close()))
	}
	for name, c := range map[string]struct {
		make   func(t *testing.T, dir string)
		create bool
		want   error
	}{
		"absent folder":         {func(*testing.T, string) {}, false, errAbsent},
		"empty folder":          {func(t *testing.T, dir string) { require.NoError(t, os.Mkdir(dir, 0o755)) }, false, errAbsent},
		"folder of other files": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, "a.mp4"), "film") }, true, errNotLibrary},
		"a file":                {func(t *testing.T, dir string) { write(t, dir, "film") }, true, errNotLibrary},
		"another database": {func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, "x"), "")
			foreign(t, filepath.Join(dir, fileName))
		}, true, errNotLibrary},
		"not a database": {func(t *testing.T, dir string) { write(t, filepath.Join(dir, fileName), "text") }, true, errNotLibrary},
		"empty ledger":   {func(t *testing.T, dir string) { write(t, filepath.Join(dir, fileName), "") }, true, errNotLibrary},
		"newer": {func(t *testing.T, dir string) {
			l := open(t, dir, Options{Create: true})
			_, err := l.write.Exec("PRAGMA user_version=99")
			require.NoError(t, errors.Join(err, l.Close()))
		}, true, errNewer},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "club")
			c.make(t, dir)
			before := tree(t, filepath.Dir(dir))
			_, err := Open(ctx, dir, Options{Create: c.create})
			requireSentence(t, err, c.want, dir)
			require.Equal(t, before, tree(t, filepath.Dir(dir)), "nothing is touched")
		})
	}
}

func write(t *testing.T, path, text string) {
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

func TestCreateTakesAnEmptyFolderWithHiddenFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a folder?with#odd %41 name")
	write(t, filepath.Join(dir, ".hidden"), "")
	l := open(t, dir, Options{Create: true})
	must(t, l, Put(player(0)))
	require.NoError(t, l.Close())
	l = open(t, dir, Options{})
	_, err := Get[club.Player](context.Background(), l, player(0).ID)
	require.NoError(t, err)
}

// Another program holds the write lock: the second waits, then says so, and
// reading goes on.
func TestBusy(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	l := filled(t)
	other := open(t, l.Dir(), Options{})
	tx, err := other.write.BeginTx(ctx, nil)
	require.NoError(t, err)

	start := time.Now()
	_, err = l.Do(ctx, "a", "x", Put(player(9)))
	requireSentence(t, err, ErrBusy, l.Dir())
	require.GreaterOrEqual(t, time.Since(start), busyTimeout)
	_, err = l.Catalogue(ctx)
	require.NoError(t, err)

	time.AfterFunc(200*time.Millisecond, func() { _ = tx.Rollback() })
	must(t, l, Put(player(9)))
}

// A full disk refuses the change and keeps what was there; when there is space
// again the same library goes on.
func TestFullDisk(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(smallDisk(t), "club")
	l, err := Open(ctx, dir, Options{Create: true})
	require.NoError(t, err)
	defer l.Close()
	fill(t, l)
	must(t, l, Put(longClip()))
	limitPages(t, l)

	written := 0
	for ; ; written++ {
		m := mark(written, 0, 0, written)
		m.Note = string(make([]byte, 5000))
		if _, err = l.Do(ctx, "a", "mark", Put(m)); err != nil {
			break
		}
		require.Less(t, written, 10_000)
	}
	requireSentence(t, err, ErrFull, dir)
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Len(t, led.Marks, written)
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, r.OK, "%v", r.Findings)

	makeSpace(t, l)
	must(t, l, Put(mark(written, 0, 0, written)))
}

// The drive is pulled, or the folder moved, while the library is open: SQLite
// would write on into the file that has no name any more.
func TestMovedAway(t *testing.T) {
	l := filled(t)
	require.NoError(t, os.Rename(l.Dir(), l.Dir()+"-moved"))
	_, err := l.Do(context.Background(), "a", "x", Put(player(9)))
	requireSentence(t, err, ErrDrive, l.Dir())
	require.NoError(t, os.Rename(l.Dir()+"-moved", l.Dir()))
	must(t, l, Put(player(9)))
}

func TestDamaged(t *testing.T) {
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 1)))
	require.NoError(t, l.Close())
	data, err := os.ReadFile(filepath.Join(l.Dir(), fileName))
	require.NoError(t, err)
	for i := 100; i < len(data); i++ {
		data[i] = 0xa5
	}
	write(t, filepath.Join(l.Dir(), fileName), string(data))
	_, err = Open(context.Background(), l.Dir(), Options{})
	requireSentence(t, err, ErrDamaged, l.Dir())
}

func TestNetworkDriveHasNoSharedLog(t *testing.T) {
	ctx := context.Background()
	l := filled(t) // made on a drive of its own, then moved to a network
	require.Empty(t, l.Warning())
	require.Equal(t, "wal", journal(t, l))
	require.NoError(t, l.Close())

	l, err := Open(ctx, l.Dir(), Options{network: func(string) bool { return true }})
	require.NoError(t, err)
	require.Equal(t, "delete", journal(t, l))
	require.Contains(t, l.Warning(), "network drive")
	require.Contains(t, l.Warning(), l.Dir())
	must(t, l, Put(player(7)))
	require.NoError(t, l.Close())

	l = open(t, l.Dir(), Options{}) // and back
	require.Equal(t, "wal", journal(t, l))
}

func journal(t *testing.T, l *Library) (mode string) {
	require.NoError(t, l.write.QueryRow("PRAGMA journal_mode").Scan(&mode))
	return mode
}

// Every connection must be durable and strict, not only the first.
func TestEveryConnectionIsSetUp(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	for _, pool := range []*sql.DB{l.write, l.read, l.read, l.read} {
		conn, err := pool.Conn(ctx)
		require.NoError(t, err)
		defer conn.Close()
		wait := 5000
		if pool == l.write {
			wait = 50 // and again, see begin
		}
		for pragma, want := range map[string]int{"synchronous": 2, "foreign_keys": 1, "busy_timeout": wait, "trusted_schema": 0, "temp_store": 2} {
			var got int
			require.NoError(t, conn.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got))
			require.Equal(t, want, got, pragma)
		}
	}
}

func TestMigrationIsBackedUpAndWhole(t *testing.T) {
	ctx := context.Background()
	now := func() time.Time { return time.Date(2026, 3, 14, 15, 9, 26, 0, time.UTC) }
	first := fstest.MapFS{"0001.sql": {Data: must1(fs.ReadFile(migrations(), "0001.sql"))}}
	second := fstest.MapFS{"0001.sql": first["0001.sql"], "0002.sql": {Data: []byte("ALTER TABLE setting ADD COLUMN more TEXT; DELETE FROM setting")}}
	bad := fstest.MapFS{"0001.sql": first["0001.sql"], "0002.sql": {Data: []byte("DELETE FROM setting; CREATE TABLE coach (x)")}}
	dir := filepath.Join(t.TempDir(), "club")
	l := open(t, dir, Options{Create: true, migrations: first})
	require.NoError(t, l.SetSetting(ctx, "k", "v"))
	require.NoError(t, l.Close())

	before := tree(t, dir)[filepath.Join(dir, fileName)]
	_, err := Open(ctx, dir, Options{migrations: bad, Now: now})
	require.ErrorContains(t, err, "migration 2")
	require.Equal(t, before, tree(t, dir)[filepath.Join(dir, fileName)], "a failed migration leaves the file untouched")
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "backups")))

	l = open(t, dir, Options{migrations: second, Now: now})
	v, err := l.Setting(ctx, "k")
	require.NoError(t, err)
	require.Empty(t, v)
	old := filepath.Join(t.TempDir(), "old")
	require.NoError(t, Restore(ctx, old, filepath.Join(dir, "backups", "ledger-version-1-20260314-150926.db"), Options{migrations: first}))
	l = open(t, old, Options{migrations: first})
	v, err = l.Setting(ctx, "k")
	require.NoError(t, err)
	require.Equal(t, "v", v, "the backup is from before")
	_, err = Open(ctx, dir, Options{migrations: first})
	requireSentence(t, err, errNewer, dir)
}

func must1[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestSystemErrorsAreClassified(t *testing.T) {
	require.ErrorIs(t, classify(&fs.PathError{Err: syscall.EROFS}, "d"), ErrReadOnly)
	require.ErrorIs(t, classify(&fs.PathError{Err: syscall.EACCES}, "d"), ErrReadOnly)
	require.ErrorIs(t, classify(&fs.PathError{Err: syscall.ENOSPC}, "d"), ErrFull)
	require.Equal(t, context.Canceled, classify(context.Canceled, "d"))
}
