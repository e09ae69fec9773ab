package desk_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/store"
)

// shell runs SQLite's own shell on a ledger.
func shell(tb testing.TB, dir, sql string) (took time.Duration) {
	cmd := exec.Command("sqlite3", "-batch", filepath.Join(dir, "ledger.db"))
	cmd.Stdin = strings.NewReader(sql)
	start := time.Now()
	out, err := cmd.CombinedOutput()
	require.NoError(tb, err, "%s\nthe Debian package sqlite3 has the shell", out)
	return time.Since(start)
}

// large makes the library of testdata/large.sql.
func large(tb testing.TB) string {
	dir := filepath.Join(tb.TempDir(), "library")
	l, err := store.Open(context.Background(), dir, store.Options{Create: true})
	require.NoError(tb, err)
	require.NoError(tb, l.Close())
	text, err := os.ReadFile("testdata/large.sql")
	require.NoError(tb, err)
	shell(tb, dir, string(text))
	return dir
}

// BenchmarkSummary sums up a library of 1,000,000 marks and 3,000,000 strokes,
// counts the same by hand in SQLite's shell, and prints both as a table.
func BenchmarkSummary(b *testing.B) {
	ctx := context.Background()
	dir := large(b)
	text, err := os.ReadFile("testdata/large_query.sql")
	require.NoError(b, err)
	byHand := func(player string) time.Duration {
		best := time.Hour
		for range 5 {
			best = min(best, shell(b, dir, ".parameter set :player "+player+"\n"+string(text)))
		}
		return best
	}
	d, err := desk.Open(ctx, dir, desk.Options{})
	require.NoError(b, err)
	defer d.Close()
	cat, err := d.Catalogue(ctx)
	require.NoError(b, err)

	row := func(what, reach, measured string) { fmt.Printf("| %s | %s | %s |\n", what, reach, measured) }
	// best of so many runs; hand is how long the query takes, 0 without one.
	measure := func(what, reach string, runs int, hand time.Duration, do func() error) {
		best := time.Hour
		for range runs {
			start := time.Now()
			require.NoError(b, do())
			best = min(best, time.Since(start))
		}
		row(what, reach, fmt.Sprintf("%.0f ms", 1e3*best.Seconds()))
		if hand > 0 {
			row("the same against the query by hand ("+fmt.Sprintf("%.0f ms", 1e3*hand.Seconds())+")", "at most 1.5", fmt.Sprintf("%.2f", best.Seconds()/hand.Seconds()))
		}
	}
	whole := func() error { _, err := d.Overview(ctx, desk.Query{}); return err }
	player := cat.Players[len(cat.Players)/2].ID
	one := func(q desk.Query) func() error {
		return func() error { _, err := d.Sheet(ctx, q, player); return err }
	}
	measure("whole club, nothing packed yet", "once", 1, 0, whole)
	measure("whole club", "at most 1000 ms", 5, byHand("NULL"), whole)
	measure("one player", "at most 100 ms", 9, byHand("\"'"+string(player)+"'\""), one(desk.Query{}))
	measure("one player, one year", "", 9, 0, one(desk.Query{From: "2024-01-01", To: "2024-12-31"}))
	measure("the team, in full", "", 5, 0, func() error { _, err := d.Sheet(ctx, desk.Query{}, ""); return err })
	measure("why this number: the marks of one player's fault", "", 9, 0, func() error {
		_, err := d.Behind(ctx, desk.Query{Players: []club.ID{player}}, cat.Faults[3].ID)
		return err
	})
	measure("sessions screen", "at most 100 ms", 9, 0, func() error { _, err := d.Sessions(ctx); return err })

	rows, err := d.Sessions(ctx)
	require.NoError(b, err)
	beside, err := store.Open(ctx, dir, store.Options{})
	require.NoError(b, err)
	defer beside.Close()
	n := 0
	measure("one more mark and one player's summary after it", "", 9, 0, func() error {
		n++
		_, err := beside.Do(ctx, "", "mark", store.Put(club.Mark{
			ID: club.NewID(), ClipID: rows[0].Clips[0].ID, FaultID: cat.Faults[0].ID, Frame: n, Ticks: int64(n) * 256, Source: club.ByHand, Confidence: 1,
		}))
		return errors.Join(err, one(desk.Query{})())
	})
	for b.Loop() {
		require.NoError(b, one(desk.Query{})())
	}
}
