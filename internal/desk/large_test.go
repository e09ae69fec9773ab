package desk_test

import (
	"context"
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

// BenchmarkSummary sums up a library of 1,000,000 marks and 3,000,000 strokes, and
// counts the same by hand in SQLite's shell.
func BenchmarkSummary(b *testing.B) {
	ctx := context.Background()
	dir := large(b)
	text, err := os.ReadFile("testdata/large_query.sql")
	require.NoError(b, err)
	byHand := func(player string) float64 {
		best := time.Hour
		for range 3 {
			best = min(best, shell(b, dir, ".parameter set :player "+player+"\n"+string(text)))
		}
		return best.Seconds()
	}
	d, err := desk.Open(ctx, dir, desk.Options{})
	require.NoError(b, err)
	defer d.Close()
	cat, err := d.Catalogue(ctx)
	require.NoError(b, err)
	measure := func(name string, do func() error, hand float64) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				require.NoError(b, do())
			}
			if hand > 0 {
				b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/hand, "of-the-query")
			}
		})
	}
	club1 := func() error { _, err := d.Overview(ctx, desk.Query{}); return err }
	b.Run("packing", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, club1())
		}
	})
	measure("club", club1, byHand("NULL"))
	player := cat.Players[len(cat.Players)/2].ID
	measure("player", func() error { _, err := d.Sheet(ctx, desk.Query{}, player); return err }, byHand("\"'"+string(player)+"'\""))
	measure("player-in-a-period", func() error {
		_, err := d.Sheet(ctx, desk.Query{From: "2024-01-01", To: "2024-12-31"}, player)
		return err
	}, 0)
	measure("marks-behind", func() error {
		_, err := d.Behind(ctx, desk.Query{Players: []club.ID{player}}, cat.Faults[3].ID)
		return err
	}, 0)
	measure("sessions", func() error { _, err := d.Sessions(ctx); return err }, 0)
	rows, err := d.Sessions(ctx)
	require.NoError(b, err)
	beside, err := store.Open(ctx, dir, store.Options{})
	require.NoError(b, err)
	defer beside.Close()
	b.Run("player-after-a-mark", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			_, err := beside.Do(ctx, "", "mark", store.Put(club.Mark{ID: club.NewID(), ClipID: rows[0].Clips[0].ID, FaultID: cat.Faults[0].ID, Frame: 7, Ticks: 1792, Source: club.ByHand, Confidence: 1}))
			require.NoError(b, err)
			b.StartTimer()
			_, err = d.Sheet(ctx, desk.Query{}, player)
			require.NoError(b, err)
		}
	})
}
