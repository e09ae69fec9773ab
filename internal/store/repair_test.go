package store

import (
	"context"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestBackupAndRestore(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 1)))
	file := filepath.Join(t.TempDir(), "far", "club.db")
	require.NoError(t, l.Backup(ctx, file))
	info, err := os.Stat(file)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.Error(t, l.Backup(ctx, file), "a backup is never written over")
	want := contents(t, l)
	must(t, l, Put(mark(1, 0, 0, 1)), Remove[club.Mark](id("mark", 0)))
	later := contents(t, l)

	// While the library is open, here and elsewhere.
	now := func() time.Time { return time.Date(2026, 3, 14, 15, 9, 26, 0, time.UTC) }
	require.NoError(t, Restore(ctx, l.Dir(), file, Options{Now: now}))
	require.True(t, want.same(contents(t, l)))
	_, err = l.Undo(ctx, "a")
	require.NoError(t, err)
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, r.OK, "%v", r.Findings)

	// What was there before can be had back, into a new folder too.
	again := filepath.Join(t.TempDir(), "again")
	require.NoError(t, Restore(ctx, again, filepath.Join(l.Dir(), "backups", "ledger-before-restore-20260314-150926.db"), Options{}))
	require.True(t, later.same(contents(t, open(t, again, Options{}))))
}

// A ledger that was deleted can be had back from the backups beside it, and
// opening the library says so.
func TestRestoreALostLedger(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 1)))
	want := contents(t, l)
	backup, err := l.BackupDaily(ctx)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	removeLedger(filepath.Join(l.Dir(), fileName))
	_, err = Open(ctx, l.Dir(), Options{Create: true})
	requireSentence(t, err, ErrDamaged, l.Dir())
	require.NoFileExists(t, filepath.Join(l.Dir(), fileName), "no empty ledger covers the loss")
	_, _, err = Repair(ctx, l.Dir(), Options{})
	requireSentence(t, err, ErrDamaged, l.Dir())
	require.NoError(t, Restore(ctx, l.Dir(), backup, Options{}))
	again := open(t, l.Dir(), Options{})
	require.True(t, want.same(contents(t, again)))
	require.NoError(t, again.Close())

	// As a drive leaves files that were not yet on it when the power went.
	for _, left := range []string{"", strings.Repeat("\x00", 8192), "SQLite format 3\x00" + strings.Repeat("\x00", 8000)} {
		removeLedger(filepath.Join(l.Dir(), fileName))
		write(t, filepath.Join(l.Dir(), fileName), left)
		_, err = Open(ctx, l.Dir(), Options{Create: true})
		requireSentence(t, err, ErrDamaged, l.Dir())
		require.NoError(t, Restore(ctx, l.Dir(), backup, Options{}))
		again := open(t, l.Dir(), Options{})
		require.True(t, want.same(contents(t, again)))
		require.NoError(t, again.Close())
	}
}

func TestRestoreChecksFirst(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	good := filepath.Join(t.TempDir(), "good.db")
	require.NoError(t, l.Backup(ctx, good))
	data, err := os.ReadFile(good)
	require.NoError(t, err)
	spoilt := func(name string, change func(data []byte)) string {
		path := filepath.Join(filepath.Dir(good), name)
		d := append([]byte(nil), data...)
		change(d)
		write(t, path, string(d))
		return path
	}
	before := tree(t, l.Dir())
	for file, want := range map[string]error{
		filepath.Join(filepath.Dir(good), "none.db"):                                                   errAbsent,
		spoilt("text.db", func(d []byte) { copy(d, "text") }):                                          errNotLibrary,
		spoilt("newer.db", func(d []byte) { binary.BigEndian.PutUint32(d[60:], 99) }):                  errNewer,
		spoilt("damaged.db", func(d []byte) { copy(d[len(d)-4096:], make([]byte, 4096)) }):             ErrDamaged,
		spoilt("cut.db", func(d []byte) { binary.BigEndian.PutUint32(d[28:], uint32(len(d)/4096*2)) }): ErrDamaged,
	} {
		requireSentence(t, Restore(ctx, l.Dir(), file, Options{}), want, file)
	}
	require.Equal(t, before, tree(t, l.Dir()))
}

func TestCheckFindsStrayRows(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 500)), Put(turn(1, 0, 1, 0, 501, 999)), Put(stroke(0, 0, 600)), Put(mark(0, 0, 0, 999)), Put(look(0, 0, 501, 999, 0)), Put(ruler(0, 700)))
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.Equal(t, Report{OK: true}, r)
	// The clip is given a shorter film: allowed, since marks never move silently.
	short := clip(0, 0)
	short.Frames = 600
	must(t, l, Put(short))
	for _, damage := range []string{
		"UPDATE fault SET gone = 1 WHERE id = 'fault-0000'",
		"UPDATE turn SET first = 400 WHERE id = 'turn-0001'",
		"INSERT INTO step VALUES (50, 1, 1)", "PRAGMA foreign_keys = 0", "DELETE FROM change WHERE seq = 1",
	} {
		_, err := l.write.ExecContext(ctx, damage)
		require.NoError(t, err)
	}
	r, err = l.Check(ctx)
	require.NoError(t, err)
	require.Equal(t, Report{Findings: []string{
		"1 of the marks name a fault that is not there.",
		"1 of the turns lie past the end of their clip.",
		"1 of the strokes lie past the end of their clip.",
		"1 of the marks lie past the end of their clip.",
		"1 of the looks lie past the end of their clip.",
		"1 of the rulers lie past the end of their clip.",
		"1 of the looks name a fault that is not there.",
		"1 pairs of turns overlap.",
		"2 steps of undo have lost the change behind them.",
	}}, r)
}

// leaf returns the offset of the n-th page below the first page of a table,
// mostly a leaf (sqlite.org/fileformat.html, section 1.6: an interior page has a
// header of 12 bytes, the number of cells at 3, then the cells' offsets; a cell
// begins with the number of its page).
func leaf(t *testing.T, l *Library, data []byte, table string, n int) int {
	var root int
	require.NoError(t, l.read.QueryRow("SELECT rootpage FROM sqlite_schema WHERE name = ?", table).Scan(&root))
	const size = 4096
	page := data[(root-1)*size : root*size]
	require.Contains(t, []byte{2, 5}, page[0], "an interior page")
	require.Greater(t, int(binary.BigEndian.Uint16(page[3:])), n)
	cell := binary.BigEndian.Uint16(page[12+2*n:])
	return (int(binary.BigEndian.Uint32(page[cell:])) - 1) * size
}

func TestRepair(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	const n = 2000
	now := func() time.Time { return time.Date(2026, 3, 14, 15, 9, 26, 0, time.UTC) }
	build := func(t *testing.T) (l *Library, want model, data []byte) {
		l = filled(t)
		for i := 0; i < n; i += 100 {
			var edits []Edit
			for j := i; j < i+100; j++ {
				edits = append(edits, Put(mark(j, j%3, j%2, j%1000)))
			}
			must(t, l, edits...)
		}
		must(t, l, Remove[club.Mark](id("mark", 5)))
		require.NoError(t, l.SetSetting(ctx, "coach", "coach-0000"))
		want = contents(t, l)
		_, err := l.write.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
		require.NoError(t, err)
		data, err = os.ReadFile(filepath.Join(l.Dir(), fileName))
		require.NoError(t, err)
		return l, want, data
	}
	repaired := func(t *testing.T, l *Library, data []byte) (model, Report, *Library) {
		require.NoError(t, l.Close())
		write(t, filepath.Join(l.Dir(), fileName), string(data))
		file, r, err := Repair(ctx, l.Dir(), Options{Now: now})
		require.NoError(t, err)
		require.Equal(t, filepath.Join(l.Dir(), "ledger-repaired-20260314-150926.db"), file)
		require.Equal(t, string(data), tree(t, l.Dir())[filepath.Join(l.Dir(), fileName)], "the damaged file stays as it is")
		require.NoError(t, Restore(ctx, l.Dir(), file, Options{}))
		l = open(t, l.Dir(), Options{})
		check, err := l.Check(ctx)
		require.NoError(t, err)
		require.True(t, check.OK, "%v", check.Findings)
		coach, err := l.Setting(ctx, "coach")
		require.NoError(t, err)
		require.Equal(t, "coach-0000", coach)
		return contents(t, l), r, l
	}

	t.Run("nothing is wrong", func(t *testing.T) {
		l, want, data := build(t)
		got, r, l := repaired(t, l, data)
		require.True(t, want.same(got))
		require.Equal(t, Report{OK: true}, r)
		_, err := l.Undo(ctx, "a")
		require.NoError(t, err)
		require.Contains(t, contents(t, l)["mark"], id("mark", 5))
	})
	t.Run("a page of marks is lost", func(t *testing.T) {
		l, want, data := build(t)
		at := leaf(t, l, data, "mark", 3)
		copy(data[at:], make([]byte, 4096))
		got, r, l := repaired(t, l, data)
		require.True(t, want.same(got), "the change log has them")
		require.False(t, r.OK)
		require.Contains(t, r.Findings, "The steps of undo could not be kept.")
		_, err := l.Undo(ctx, "a")
		require.ErrorIs(t, err, ErrNothing)
	})
	t.Run("a page of marks and some of the log are lost", func(t *testing.T) {
		l, want, data := build(t)
		at := leaf(t, l, data, "mark", 3)
		copy(data[at:], make([]byte, 4096))
		at = leaf(t, l, data, "change_row", 0) // not a leaf: the first of a few hundred rows
		copy(data[at:], make([]byte, 4096))
		got, r, _ := repaired(t, l, data)
		require.False(t, r.OK)
		lost := len(want["mark"]) - len(got["mark"])
		require.Positive(t, lost)
		require.Less(t, lost, 60, "no more than one page of them")
		for id, m := range got["mark"] {
			require.Equal(t, want["mark"][id], m)
		}
		require.Equal(t, want["player"], got["player"])
	})
	t.Run("the marks' first page is lost", func(t *testing.T) {
		l, want, data := build(t)
		var root int
		require.NoError(t, l.read.QueryRow("SELECT rootpage FROM sqlite_schema WHERE name = 'mark'").Scan(&root))
		copy(data[(root-1)*4096:], make([]byte, 4096))
		got, r, _ := repaired(t, l, data)
		require.False(t, r.OK)
		require.True(t, want.same(got), "the change log has them")
	})
	t.Run("rows whose parent is lost", func(t *testing.T) {
		l, want, _ := build(t)
		of := func(n int, faults ...int) club.Look {
			k := look(n, 0, 0, 9, 0)
			k.Faults = nil
			for _, f := range faults {
				k.Faults = append(k.Faults, id("fault", f))
			}
			return k
		}
		must(t, l, Put(fault(2)), Put(of(0, 0, 1)), Put(of(1, 1)), Put(of(2, 2, 0)), Put(of(3, 0)))
		for _, damage := range []string{"PRAGMA foreign_keys = 0", "UPDATE fault SET gone = 1 WHERE id = 'fault-0002'", "DELETE FROM fault WHERE id = 'fault-0001'", "DELETE FROM change_row WHERE row_id = 'fault-0001'", "PRAGMA wal_checkpoint(TRUNCATE)"} {
			_, err := l.write.Exec(damage)
			require.NoError(t, err)
		}
		data, err := os.ReadFile(filepath.Join(l.Dir(), fileName))
		require.NoError(t, err)
		got, r, _ := repaired(t, l, data)
		require.Equal(t, []string{
			fmt.Sprintf("%d of the marks could not be kept, because their fault is lost.", n/2-1),
			"3 of the looks were for faults that are lost: they stand for the others only.",
		}, r.Findings)
		require.Equal(t, map[club.ID]any{id("look", 0): of(0, 0), id("look", 2): of(2, 0), id("look", 3): of(3, 0)}, got["look"])
		require.Len(t, got["mark"], n/2)
		require.Len(t, want["mark"], n-1)
	})
	t.Run("nothing can be read", func(t *testing.T) {
		l, _, data := build(t)
		require.NoError(t, l.Close())
		copy(data[100:], make([]byte, 3996))
		write(t, filepath.Join(l.Dir(), fileName), string(data))
		_, _, err := Repair(ctx, l.Dir(), Options{})
		requireSentence(t, err, ErrDamaged, l.Dir())
		require.Equal(t, string(data), tree(t, l.Dir())[filepath.Join(l.Dir(), fileName)])
		left, err := filepath.Glob(filepath.Join(l.Dir(), ".*"))
		require.NoError(t, err)
		require.Empty(t, left)
	})
}
