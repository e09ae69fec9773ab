package desk_test

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/store"
)

// BenchmarkTake takes a record of 100,000 rows into a library that has half of them
// already and has changed one in ten of those.
func BenchmarkTake(b *testing.B) {
	ctx := context.Background()
	const clips, each = 100, 500
	entries := func(l *laptop, from, to int) {
		var edits []store.Edit
		for c := from; c < to; c++ {
			clip := fmt.Sprintf("k%04d", c)
			edits = append(edits, store.Put(filmOf(clip, "s1", "print"+clip)), l.turn("t"+clip, clip, "ada", l.cat.Drills[0].ID, 0, 999))
			for i := range each {
				edits = append(edits, l.stroke(fmt.Sprintf("x%s-%d", clip, i), clip, 2*i), l.mark(fmt.Sprintf("m%s-%d", clip, i), clip, l.cat.Faults[i%5].ID, 2*i, ""))
			}
		}
		l.do(edits...)
	}
	a := newLaptop(b, "a", 0)
	a.do(store.Put(club.Session{ID: "s1", Date: "2026-03-14"}), store.Put(club.Player{ID: "ada", Name: "Ada Lovelace", Hand: club.RightHand}))
	entries(a, 0, clips/2)
	other := a.copyOf("b", time.Hour)
	entries(other, clips/2, clips)
	led, err := other.Library.OfClip(ctx, "k0000")
	require.NoError(b, err)
	var edits []store.Edit
	for i, m := range led.Marks {
		if m.Note = "changed"; i%2 == 0 {
			edits = append(edits, store.Put(m))
		}
	}
	other.do(edits...)
	file := other.write(exchange.Wanted{Names: true})
	info, err := os.Stat(file)
	require.NoError(b, err)
	b.ReportMetric(float64(info.Size())/1e6, "MB")
	taken, busy := time.Duration(0), time.Duration(0)
	for b.Loop() {
		begun, before := time.Now(), processor(b)
		p, err := a.Exchange.Take(ctx, file, nil, "", nil)
		require.NoError(b, err)
		taken, busy = taken+time.Since(begun), busy+processor(b)-before
		require.False(b, p.Nothing)
		b.StopTimer()
		_, err = a.Library.Undo(ctx)
		require.NoError(b, err)
		b.StartTimer()
	}
	n := time.Duration(b.N)
	fmt.Printf("| 100,000 rows, half of them known, taken in as one step | under 10 s | %.1f s, %.1f s of a processor |\n", (taken / n).Seconds(), (busy / n).Seconds())
}

// processor is how much processor time the program has used.
func processor(b *testing.B) time.Duration {
	var u unix.Rusage
	require.NoError(b, unix.Getrusage(unix.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
