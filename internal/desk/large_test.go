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
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/todo"
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

// filmsOf makes a folder with the files of that library, and returns it.
func filmsOf(tb testing.TB, clips int) string {
	dir := tb.TempDir()
	for n := range clips {
		require.NoError(tb, os.WriteFile(filepath.Join(dir, fmt.Sprintf("clip %05d.mp4", n)), []byte("1234567"), 0o600))
	}
	return dir
}

// absent looks for clips' files, of which so many must not be there.
func absent(ctx context.Context, d *desk.Desk, clips []club.ID, want int) error {
	found, err := d.Place.Absent(ctx, clips)
	if err == nil && len(found) != want {
		err = fmt.Errorf("%d files are not there, not %d", len(found), want)
	}
	return err
}

// toDo lists what is to do, which must be so many turns.
func toDo(ctx context.Context, d *desk.Desk, q todo.Query, turns int) func() error {
	return func() error {
		list, err := d.ToDo.List(ctx, q)
		if err == nil && (list.Turns != turns || list.Clips != 0 || len(list.Rows) != min(q.Most, turns)) {
			err = fmt.Errorf("%d turns, %d clips and %d rows are to do, not %d turns", list.Turns, list.Clips, len(list.Rows), turns)
		}
		return err
	}
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
	d, err := desk.Open(ctx, dir, library.Options{})
	require.NoError(b, err)
	defer d.Close()
	cat, err := d.Library.Catalogue(ctx)
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
	whole := func() error { _, err := d.Summary.Overview(ctx, summary.Query{}); return err }
	player := cat.Players[len(cat.Players)/2].ID
	one := func(q summary.Query) func() error {
		return func() error { _, err := d.Summary.Sheet(ctx, q, player); return err }
	}
	measure("whole club, nothing packed yet", "once", 1, 0, whole)
	measure("whole club", "at most 1000 ms", 5, byHand("NULL"), whole)
	measure("one player", "at most 100 ms", 9, byHand("\"'"+string(player)+"'\""), one(summary.Query{}))
	measure("one player, one year", "", 9, 0, one(summary.Query{From: "2024-01-01", To: "2024-12-31"}))
	measure("the team, in full", "", 5, 0, func() error { _, err := d.Summary.Sheet(ctx, summary.Query{}, ""); return err })
	measure("why this number: the marks of one player's fault", "", 9, 0, func() error {
		_, err := d.Summary.Behind(ctx, summary.Query{Players: []club.ID{player}}, summary.Kind{FaultID: cat.Faults[3].ID})
		return err
	})
	measure("what is to do: nothing, in 60,000 turns", "at most 1000 ms", 5, 0, toDo(ctx, d, todo.Query{Most: 200}, 0))
	measure("the same, for a coach who has looked at none", "at most 1000 ms", 5, 0, toDo(ctx, d, todo.Query{Most: 200, CoachID: "another"}, 60_000))
	measure("the same, one player", "at most 100 ms", 9, 0, toDo(ctx, d, todo.Query{Most: 200, PlayerID: player}, 0))
	first := session.Page{Count: 20} // as many as the page asks for
	measure("sessions screen", "at most 100 ms", 9, 0, func() error { _, err := d.Sessions.List(ctx, first); return err })
	measure("the same, up to a day in the middle", "", 9, 0, func() error {
		_, err := d.Sessions.List(ctx, session.Page{UpTo: "2023-06-01", Count: 20})
		return err
	})
	measure("all 780 sessions", "", 9, 0, func() error { _, err := d.Sessions.List(ctx, session.Page{}); return err })
	rows, err := d.Sessions.List(ctx, session.Page{})
	require.NoError(b, err)
	var films []club.ID
	for _, s := range rows.Sessions {
		for _, c := range s.Clips {
			films = append(films, c.ID)
		}
	}
	measure("looking for the files of all 10,000 clips, none there", "", 9, 0, func() error { return absent(ctx, d, films, len(films)) })
	shell(b, dir, "UPDATE clip SET path = '"+filepath.ToSlash(filmsOf(b, len(films)))+"' || substr(path, 7);") // "/films" before
	measure("the same, all there", "", 9, 0, func() error { return absent(ctx, d, films, 0) })

	beside, err := store.Open(ctx, dir, store.Options{})
	require.NoError(b, err)
	defer beside.Close()
	n := 0
	measure("one more mark and one player's summary after it", "", 9, 0, func() error {
		n++
		_, err := beside.Do(ctx, "", "mark", store.Put(club.Mark{
			ID: club.NewID(), ClipID: rows.Sessions[0].Clips[0].ID, FaultID: cat.Faults[0].ID, Frame: n, Ticks: int64(n) * 256, Source: club.ByHand, Confidence: 1,
		}))
		return errors.Join(err, one(summary.Query{})())
	})
	for b.Loop() {
		require.NoError(b, one(summary.Query{})())
	}
}
