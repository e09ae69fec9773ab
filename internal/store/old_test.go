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
	"strokeledger/internal/merge"
)

// A library as each version of the schema kept it lies in testdata. One is
// written when a schema is new, with -old; never again.
var writeOld = flag.Bool("old", false, "write the libraries of those versions that have no fixture yet")

func fixture(version int) string {
	return filepath.Join("testdata", fmt.Sprintf("version-%d.db.gz", version))
}

// oldData is the library of a version.
func oldData(t *testing.T, version int) []byte {
	f, err := os.Open(fixture(version))
	require.NoError(t, err, "a new version needs its fixture: run the test with -old once")
	defer f.Close()
	r, err := gzip.NewReader(f)
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return data
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
	fill(t, l)
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
	if version >= 7 {
		require.NoError(t, l.ChooseStreams(context.Background(), id("clip", 1), Streams{2, 1}))
		require.NoError(t, l.ExceptStreams(context.Background(), id("clip", 1), "another film"))
	}
	if version >= 8 {
		must(t, l, Put(ruler(0, 3)), Put(ruler(1, 4)))
	}
	if version >= 9 {
		f := fault(1)
		f.Measure, f.Limit = club.FeetBehind, 45
		must(t, l, Put(f))
	}
	if version >= 10 {
		m := mark(7, 0, 1, 5)
		m.SeenID = id("clip", 1)
		must(t, l, Put(pairing(1, 0)), Put(m))
	}
	if version >= 12 {
		must(t, l, Put(merge.NewSame("drill", "other", id("drill", 1))), Put(merge.Taken{ID: "a change", File: "from the other laptop.json"}))
	}
	if version >= 13 {
		must(t, l, Put(adjustment(0, 2)))
	}
	if version >= 14 {
		fillStandard(t, l)
	}
	if version >= 15 {
		s, m := stroke(7, 0, 20), mark(8, 0, 1, 20)
		s.Source, s.Confidence, m.Source, m.Confidence = club.BySight, .9, club.BySight, .8
		must(t, l, Put(s), Put(m))
	}
	if version >= 17 {
		must(t, l, Put(pair(0, 0, 1, 3)))
	}
	if version >= 18 {
		must(t, l, Put(drawing(0, 0, 7)))
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
			data := oldData(t, version)
			dir := t.TempDir()
			ledger := filepath.Join(dir, fileName)
			write(t, ledger, string(data))

			_, err := Open(ctx, dir, Options{migrations: upTo(t, version, "DELETE FROM mark; CREATE TABLE coach (x)")})
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
			for _, film := range []string{"film", "another film"} {
				require.Equal(t, streams(t, same, id("clip", 1), film), streams(t, l, id("clip", 1), film))
			}
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
			for _, table := range []string{"stroke", "mark"} {
				_, err = l.write.ExecContext(ctx, "UPDATE "+table+" SET source = 'seen'")
				require.NoError(t, err, "sources that came later")
				_, err = l.write.ExecContext(ctx, "UPDATE "+table+" SET source = 'guessed'")
				require.ErrorContains(t, err, "CHECK constraint failed")
			}

			backups, err := filepath.Glob(filepath.Join(dir, backupFolder, fmt.Sprintf("ledger-version-%d-*.db", version)))
			require.NoError(t, err)
			if version == len(steps) {
				require.Empty(t, backups)
				return
			}
			require.Len(t, backups, 1)
			found, err := readHeader(ctx, backups[0])
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

// Coaches who have marked in a turn of a library from before looks were kept count as
// having looked through it for every fault that is not removed; nobody else does.
func TestOldMarksStandForLooks(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	ledger := filepath.Join(dir, fileName)
	write(t, ledger, string(oldData(t, 5)))
	db := connect(ledger, "_foreign_keys=0", 1)
	copies := func(table, from string, sets ...string) { // of a row, each a little different
		for _, set := range sets {
			for _, step := range []string{
				"CREATE TEMP TABLE other AS SELECT * FROM " + table + " WHERE id = '" + from + "'",
				"UPDATE other SET " + set, "INSERT INTO " + table + " SELECT * FROM other", "DROP TABLE other",
			} {
				_, err := db.Exec(step)
				require.NoError(t, err, step)
			}
		}
	}
	copies("fault", "fault-0000", "id = 'retired', code = 'RET', key = '', retired = 1", "id = 'removed', code = 'REM', gone = 1")
	copies("turn", "turn-0000",
		"id = 't1', first = 20, last = 29, first_ticks = 5120, last_ticks = 7424", "id = 't2', first = 30, last = 39, first_ticks = 7680, last_ticks = 9984",
		"id = 't3', first = 50, last = 59, gone = 1", "id = 't4', first = 60, last = 69, first_ticks = 15360, last_ticks = 17664")
	copies("mark", "mark-0000",
		"id = 'm1', frame = 20, coach_id = 'coach-0000', made = 1000000", "id = 'm2', frame = 29, coach_id = 'coach-0000', made = 3000000", "id = 'm3', frame = 25, coach_id = 'coach-0001', made = 2000000",
		"id = 'm4', frame = 30, gone = 1", "id = 'm5', frame = 40", "id = 'm6', frame = 55", "id = 'm7', frame = 60, coach_id = NULL, made = 4000000")
	require.NoError(t, db.Close())

	l := open(t, dir, Options{})
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	type seen struct {
		coach       club.ID
		first, last int
		ticks       [2]int64
		made        int64
	}
	var got []seen
	for _, k := range led.Looks {
		require.True(t, k.Assumed)
		require.Equal(t, []club.ID{"fault-0000", "fault-0001", "retired"}, k.Faults)
		if k.First >= 20 { // the fixture's own turn lies before
			got = append(got, seen{k.CoachID, k.First, k.Last, [2]int64{k.FirstTicks, k.LastTicks}, k.Made.UnixMicro()})
		}
	}
	require.ElementsMatch(t, []seen{
		{"coach-0000", 20, 29, [2]int64{5120, 7424}, 3000000}, {"coach-0001", 20, 29, [2]int64{5120, 7424}, 2000000}, {"", 60, 69, [2]int64{15360, 17664}, 4000000},
	}, got)
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, r.OK, "%v", r.Findings)
}

// What was packed and kept of a library goes with each change of a look, and of a
// fault's phase, by whichever program it is made.
func TestLooksThrowAwayWhatWasKept(t *testing.T) {
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(look(0, 0, 0, 100, 0)))
	exec := func(query string) {
		_, err := l.write.Exec(query)
		require.NoError(t, err, query)
	}
	kept := func() (n int) {
		require.NoError(t, l.read.QueryRow("SELECT (SELECT count(*) FROM pack) + (SELECT count(*) FROM standing)").Scan(&n))
		return n
	}
	for _, change := range []string{
		"INSERT INTO look SELECT 'more', clip_id, coach_id, first, last, first_ticks, last_ticks, faults, made, assumed, author, clock, gone, blind_id FROM look WHERE id = 'look-0000'",
		"UPDATE look SET last = 90 WHERE id = 'more'", "UPDATE look SET gone = 1 WHERE id = 'more'", "DELETE FROM look WHERE id = 'more'",
	} {
		exec("INSERT INTO pack (clip_id, turns, strokes, marks, data, ids) VALUES ('clip-0000', 1, 0, 0, x'00', x'00')")
		exec("INSERT INTO standing (player_id, data) VALUES ('player-0000', x'00')")
		require.Equal(t, 2, kept())
		exec(change)
		require.Zero(t, kept(), change)
	}
	exec("INSERT INTO standing (player_id, data) VALUES ('player-0000', x'00')")
	exec("UPDATE fault SET phase = 'recovery' WHERE id = 'fault-0000'")
	require.Zero(t, kept(), "the phase says on which stroke marks hang")
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
		_, err := to.write.Exec("INSERT INTO look SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, 1, '', 0, 0, NULL", looks().fields(&l)[:9]...)
		require.NoError(t, err)
	}
}

// A backup of an older version is brought up to date under an open window too.
func TestAnOldBackupUnderAnOpenWindow(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	old := filepath.Join(t.TempDir(), "old.db")
	write(t, old, string(oldData(t, 1)))
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
