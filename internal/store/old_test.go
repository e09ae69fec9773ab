package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// A library as each version of the schema kept it lies in testdata. One is
// written when a schema is new, with -old; never again.
var writeOld = flag.Bool("old", false, "write the libraries of those versions that have no fixture yet")

func fixture(version int) string {
	return filepath.Join("testdata", fmt.Sprintf("version-%d.db.gz", version))
}

// upTo are the migrations as they were at a version, and what is to come besides.
func upTo(t *testing.T, version int, more ...string) fs.FS {
	files := fstest.MapFS{}
	for n := 1; n <= version; n++ {
		name := fmt.Sprintf("%04d.sql", n)
		text, err := fs.ReadFile(migrations(), name)
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: text}
	}
	for i, text := range more {
		files[fmt.Sprintf("%04d.sql", version+1+i)] = &fstest.MapFile{Data: []byte(text)}
	}
	return files
}

// fillOld gives a library the rows that the fixture of a version holds.
func fillOld(t *testing.T, l *Library, version int) {
	furnish(t, l)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(stroke(0, 0, 5)), Put(mark(0, 0, 0, 5)))
	must(t, l, Put(mark(1, 0, 1, 7)))
	if version >= 2 {
		p, s, m := player(1), stroke(1, 0, 8), mark(2, 0, 0, 8)
		p.ConsentFrom, p.ConsentUntil, p.ConsentBy, p.DeleteAfter = "2026-01-01", "2026-12-31", "the mother", "2027-06-30"
		s.Ready, m.StrokeID, m.Sign = &club.Moment{Frame: 9, Ticks: 9 * 256}, s.ID, &club.Sign{Kind: club.Arrow, X2: 1}
		must(t, l, Put(p), Put(s), Put(m), Put(club.Ruling{ID: "r", PlayerID: p.ID, DrillID: id("drill", 0), CoachID: id("coach", 0), Date: "2026-03-14", Passed: true, Reason: "Seen."}))
		require.NoError(t, l.NoteExport(context.Background(), Export{"/out/page.html", "html", time.Unix(1, 0).UTC(), []club.ID{p.ID}}))
	}
	if version >= 6 {
		c := coach(1)
		c.Reaction = 0.6
		must(t, l, Put(c), Put(look(0, 0, 0, 9, 1)))
	}
	must(t, l, Remove[club.Mark](id("mark", 1)))
	require.NoError(t, l.SetSetting(context.Background(), "coach", "coach-0000"))
}

func writeFixture(t *testing.T, version int) {
	l := open(t, filepath.Join(t.TempDir(), "old"), Options{Create: true, migrations: upTo(t, version)})
	fillOld(t, l, version)
	require.NoError(t, l.Close())
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	data, err := os.ReadFile(filepath.Join(l.Dir(), fileName))
	require.NoError(t, err)
	_, err = w.Write(data)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, os.WriteFile(fixture(version), packed.Bytes(), 0o644))
}

// Libraries of every version open, are backed up as they were before, and hold
// what they held; where bringing one up to date fails, it is as it was.
func TestLibrariesOfEveryVersionOpen(t *testing.T) {
	ctx := context.Background()
	steps, err := readMigrations(migrations())
	require.NoError(t, err)
	for version := 1; version <= len(steps); version++ {
		t.Run(fmt.Sprint(version), func(t *testing.T) {
			if _, err := os.Stat(fixture(version)); *writeOld && err != nil {
				writeFixture(t, version)
			}
			f, err := os.Open(fixture(version))
			require.NoError(t, err, "a new version needs its fixture: run this test with -old once")
			defer f.Close()
			r, err := gzip.NewReader(f)
			require.NoError(t, err)
			data, err := io.ReadAll(r)
			require.NoError(t, err)
			dir := t.TempDir()
			ledger := filepath.Join(dir, fileName)
			write(t, ledger, string(data))

			_, err = Open(ctx, dir, Options{migrations: upTo(t, version, "DELETE FROM mark; CREATE TABLE coach (x)")})
			require.ErrorContains(t, err, fmt.Sprint("migration ", version+1))
			now, err := os.ReadFile(ledger)
			require.NoError(t, err)
			require.True(t, bytes.Equal(data, now), "a failed migration leaves the file untouched")
			require.NoError(t, os.RemoveAll(filepath.Join(dir, backupFolder)))

			l := open(t, dir, Options{})
			same := fresh(t)
			fillOld(t, same, version)
			if version < 6 {
				assumeLooks(t, same, l)
			}
			require.True(t, contents(t, same).same(contents(t, l)))
			require.Equal(t, schema(t, same), schema(t, l), "a schema that is out in the world changes by a new migration only")
			report, err := l.Check(ctx)
			require.NoError(t, err)
			require.True(t, report.OK, "%v", report.Findings)
			record, err := l.Record(ctx, Filter{})
			require.NoError(t, err)
			require.Len(t, record, 1)
			_, err = l.Undo(ctx, "a")
			require.NoError(t, err)
			_, err = Get[club.Mark](ctx, l, id("mark", 1))
			require.NoError(t, err)

			backups, err := filepath.Glob(filepath.Join(dir, backupFolder, fmt.Sprintf("ledger-version-%d-*.db", version)))
			require.NoError(t, err)
			if version == len(steps) {
				require.Empty(t, backups)
				return
			}
			require.Len(t, backups, 1)
			found, err := readImprint(ctx, backups[0])
			require.NoError(t, err)
			require.EqualValues(t, version, found.version)
			restored := filepath.Join(t.TempDir(), "restored")
			require.NoError(t, Restore(ctx, restored, backups[0], Options{}))
			again := open(t, restored, Options{})
			if version < 6 { // whose looks get IDs of their own
				same = fresh(t)
				fillOld(t, same, version)
				assumeLooks(t, same, again)
			}
			require.True(t, contents(t, same).same(contents(t, again)), "the backup holds it as well")
		})
	}
}

// assumeLooks gives one library the looks that another, just brought up to date, was
// given for the time when none were kept, but holds them against club.AssumedLooks.
func assumeLooks(t *testing.T, to, from *Library) {
	ctx := context.Background()
	s, err := from.Snapshot(ctx, nil)
	require.NoError(t, err)
	var faults []club.ID
	for _, f := range s.Catalogue.Faults {
		faults = append(faults, f.ID)
	}
	slices.Sort(faults)
	n := 0
	want := club.AssumedLooks(s.Turns, s.Marks, faults, func() club.ID { n++; return s.Looks[n-1].ID })
	require.NotEmpty(t, want)
	require.Equal(t, want, s.Looks)
	for _, l := range want {
		require.Regexp(t, "^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$", l.ID)
		_, err := to.write.Exec("INSERT INTO look SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, 1, '', 0, 0", looks().fields(&l)[:9]...)
		require.NoError(t, err)
	}
}

// A backup of an older version is brought up to date under an open window too.
func TestAnOldBackupUnderAnOpenWindow(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	f, err := os.Open(fixture(1))
	require.NoError(t, err)
	defer f.Close()
	r, err := gzip.NewReader(f)
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	old := filepath.Join(t.TempDir(), "old.db")
	write(t, old, string(data))
	require.NoError(t, Restore(ctx, l.Dir(), old, Options{}))
	turns := 0
	require.NoError(t, l.Each(ctx, Filter{}, false, func(*club.TurnRecord) error { turns++; return nil }))
	require.Equal(t, 1, turns)
}

func schema(t *testing.T, l *Library) (lines []string) {
	rows, err := l.read.Query("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var line string
		require.NoError(t, rows.Scan(&line))
		lines = append(lines, line)
	}
	require.NoError(t, rows.Err())
	return lines
}
