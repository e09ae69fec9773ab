package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// A library as version 1 of the schema kept it. It is written once, when that
// schema is new, with -old; never again.
const versionOne = "testdata/version-1.db.gz"

var writeOld = flag.Bool("old", false, "write the library of the newest schema as a fixture")

// fillOld gives a library the rows that the fixture holds.
func fillOld(t *testing.T, l *Library) {
	furnish(t, l)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(stroke(0, 0, 5)), Put(mark(0, 0, 0, 5)))
	must(t, l, Put(mark(1, 0, 1, 7)))
	must(t, l, Remove[club.Mark](id("mark", 1)))
	require.NoError(t, l.SetSetting(context.Background(), "coach", "coach-0000"))
}

func TestLibraryOfVersionOneOpens(t *testing.T) {
	ctx := context.Background()
	if *writeOld {
		l := fresh(t)
		fillOld(t, l)
		require.NoError(t, l.Close())
		var packed bytes.Buffer
		w := gzip.NewWriter(&packed)
		data, err := os.ReadFile(filepath.Join(l.Dir(), fileName))
		require.NoError(t, err)
		_, err = w.Write(data)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		require.NoError(t, os.WriteFile(versionOne, packed.Bytes(), 0o644))
	}
	f, err := os.Open(versionOne)
	require.NoError(t, err)
	defer f.Close()
	r, err := gzip.NewReader(f)
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	dir := t.TempDir()
	write(t, filepath.Join(dir, fileName), string(data))

	l := open(t, dir, Options{})
	same := fresh(t)
	fillOld(t, same)
	require.True(t, contents(t, same).same(contents(t, l)))
	require.Equal(t, schema(t, same), schema(t, l), "a schema that is out in the world changes by a new migration only")
	report, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, report.OK, "%v", report.Findings)
	_, err = l.Undo(ctx, "a")
	require.NoError(t, err)
	_, err = Get[club.Mark](ctx, l, id("mark", 1))
	require.NoError(t, err)
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
