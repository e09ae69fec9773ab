package report_test

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares what write writes with a file in testdata.
func golden(t *testing.T, file string, write func(io.Writer) error) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	path := filepath.Join("testdata", file)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update to make the file")
	if !bytes.Equal(want, b.Bytes()) {
		t.Errorf("%s: %s", path, firstDifference(string(want), b.String()))
	}
}

func TestGolden(t *testing.T) {
	team, one := summary(), ofOne()
	empty := tally.Summarise(club.Catalogue{}, nil, "2026-05-01", "")
	document := func(s tally.Summary) report.Document {
		return report.Document{Summary: s, Origin: origin(), Stills: stills(t, s)}
	}
	named := document(one)
	named.ShowNames = true
	for _, c := range []struct {
		file  string
		write func(io.Writer) error
	}{
		{"team.txt", func(w io.Writer) error { return report.Text(w, team, origin()) }},
		{"player.txt", func(w io.Writer) error { return report.Text(w, one.Aliased(), origin()) }},
		{"empty.txt", func(w io.Writer) error { return report.Text(w, empty, origin()) }},
		{"player.csv", func(w io.Writer) error { return report.CSV(w, report.FaultTable(one, origin()), report.CSVForm{}) }},
		{"empty.csv", func(w io.Writer) error { return report.CSV(w, report.FaultTable(empty, origin()), report.CSVForm{}) }},
		{"player.json", func(w io.Writer) error { return report.JSON(w, one, origin()) }},
		{"empty.json", func(w io.Writer) error { return report.JSON(w, empty, origin()) }},
		{"team.html", func(w io.Writer) error { return report.HTML(w, document(team)) }},
		{"player.html", func(w io.Writer) error { return report.HTML(w, named) }},
		{"empty.html", func(w io.Writer) error { return report.HTML(w, document(empty)) }},
	} {
		t.Run(c.file, func(t *testing.T) { golden(t, c.file, c.write) })
	}
}

// firstDifference shows where two texts part.
func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(w), len(g)) {
		if w[i] != g[i] {
			return fmt.Sprintf("line %d:\nwant %.300s\ngot  %.300s", i+1, w[i], g[i])
		}
	}
	return fmt.Sprintf("%d lines instead of %d", len(g), len(w))
}
