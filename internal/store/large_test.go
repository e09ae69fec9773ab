package store

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// A large club: after ten years of filming, far beyond what one club does.
const (
	largePlayers  = 200
	largeSessions = 500
	largeClips    = 10_000
	largeTurns    = 6 * largeClips
	largeStrokes  = 50 * largeTurns // 3,000,000
	largeMarks    = 1_000_000
)

// large makes a library of that size, with the rows of a clip lying together as
// they are marked, straight into the tables: a change log of it is not needed
// here.
func large(tb testing.TB, scale int) *Library {
	ctx := context.Background()
	l := open(tb, filepath.Join(tb.TempDir(), "club"), Options{Create: true})
	var edits []Edit
	for i := range largePlayers {
		edits = append(edits, Put(player(i)))
	}
	for i := range 20 {
		edits = append(edits, Put(drill(i)), Put(fault(i)))
	}
	for i := range largeSessions {
		edits = append(edits, Put(club.Session{ID: id("session", i), Date: club.Date(time.Date(2016, 1, 1+7*i, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))}))
	}
	must(tb, l, append(edits, Put(coach(0)))...)
	const series = "WITH RECURSIVE s(n) AS (SELECT 0 UNION ALL SELECT n+1 FROM s WHERE n+1 < ?) INSERT INTO "
	uuid := func(kind string, n string) string { // as long as a real one
		return "printf('01960000-0000-7000-" + kind + "-%012x', " + n + ")"
	}
	for _, s := range []struct {
		sql string
		n   int
	}{
		{"clip SELECT " + uuid("c11b", "n") + ", printf('session-%04d', n/20), 'a.mp4', '/films/a.mp4', printf('print%d', n), 7, 3000, 0, 1, 12800, 60, 1920, 1080, '', 1, 0 FROM s", largeClips},
		{"turn (id, clip_id, player_id, drill_id, first, last, first_ticks, last_ticks, author, clock, gone) SELECT " + uuid("7c44", "n") + ", " + uuid("c11b", "n/6") + ", printf('player-%04d', n%200), printf('drill-%04d', n/6%20), n%6*500, n%6*500+499, n%6*128000, n%6*128000+127744, '', 1, 0 FROM s", largeTurns},
		{"stroke (id, clip_id, frame, ticks, side, outcome, source, confidence, coach_id, author, clock, gone) SELECT " + uuid("57c0", "n") + ", " + uuid("c11b", "n/300") + ", n%300*10, n%300*2560, '', iif(n%7, 'good', 'missed'), 'hand', 1.0, 'coach-0000', 'coach-0000', 1, 0 FROM s", largeStrokes},
		{"mark (id, clip_id, fault_id, coach_id, frame, ticks, note, source, confidence, made, author, clock, gone) SELECT " + uuid("3a4c", "n") + ", " + uuid("c11b", "n/100") + ", printf('fault-%04d', n%20), 'coach-0000', n%100*30, n%100*7680, '', 'hand', 1.0, 1773500000000000, 'coach-0000', 1, 0 FROM s", largeMarks},
	} {
		_, err := l.write.ExecContext(ctx, series+s.sql, s.n/scale)
		require.NoError(tb, err)
	}
	return l
}

// BenchmarkLarge reads from a library of 1,000,000 marks and 3,000,000 strokes.
func BenchmarkLarge(b *testing.B) {
	ctx := context.Background()
	l := large(b, 1)
	clips, err := l.Clips(ctx)
	require.NoError(b, err)
	b.Run("player", func(b *testing.B) {
		for i := range b.N {
			turns, err := l.Record(ctx, Filter{Players: []club.ID{id("player", i%largePlayers)}})
			require.NoError(b, err)
			require.Len(b, turns, largeTurns/largePlayers)
		}
	})
	b.Run("drill", func(b *testing.B) {
		for i := range b.N {
			_, err := l.Record(ctx, Filter{Drills: []club.ID{id("drill", i%20)}})
			require.NoError(b, err)
		}
	})
	b.Run("club", func(b *testing.B) {
		for range b.N {
			turns, err := l.Record(ctx, Filter{})
			require.NoError(b, err)
			require.Len(b, turns, largeTurns)
		}
	})
	b.Run("clip", func(b *testing.B) {
		for i := range b.N {
			led, err := l.OfClip(ctx, clips[i*7%len(clips)].ID)
			require.NoError(b, err)
			require.Len(b, led.Strokes, 300)
		}
	})
	b.Run("page", func(b *testing.B) {
		for range b.N {
			p, err := l.SessionPage(ctx, "", 20)
			require.NoError(b, err)
			require.Len(b, p.Clips, 20*largeClips/largeSessions)
		}
	})
	b.Run("do", func(b *testing.B) {
		for i := range b.N {
			m := mark(i, 0, 0, i%3000)
			m.ClipID = clips[0].ID
			must(b, l, Put(m))
		}
	})
}
