package store

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func packs(t testing.TB, l *Library) (n int) {
	require.NoError(t, l.read.QueryRow("SELECT count(*) FROM pack").Scan(&n))
	return n
}

// What is packed ahead is what a reader would have packed, and nothing is left to
// pack; a clip that is gone gets no pack.
func TestPackAhead(t *testing.T) {
	ctx := context.Background()
	l := busy(t)
	must(t, l, Remove[club.Clip](clip(105, 0).ID))
	require.NoError(t, l.PackAhead(ctx))
	require.Equal(t, 14, packs(t, l), "eleven with turns, and three of the furnished library")
	plain := must1(l.Record(ctx, Filter{}))
	require.Equal(t, counted(plain, true), each(t, l, Filter{}, true, plain))

	over, cancel := context.WithCancel(ctx)
	cancel()
	_, err := l.write.Exec("DELETE FROM pack")
	require.NoError(t, err)
	require.ErrorIs(t, l.PackAhead(over), context.Canceled)
	require.Zero(t, packs(t, l))
	_, err = l.packSome(ctx, packFor, []club.ID{"nobody's", clip(105, 0).ID}, func(club.ID, packed) {})
	require.NoError(t, err)
	require.Zero(t, packs(t, l))
}

// A reader and the background share the work, and get the same in any case.
func TestPackAheadBesideReaders(t *testing.T) {
	ctx := context.Background()
	l := busy(t)
	plain := must1(l.Record(ctx, Filter{}))
	for range 8 {
		_, err := l.write.Exec("DELETE FROM pack")
		require.NoError(t, err)
		var group sync.WaitGroup
		var ahead error
		group.Go(func() { ahead = l.PackAhead(ctx) })
		require.Equal(t, counted(plain, true), each(t, l, Filter{}, true, plain))
		group.Wait()
		require.NoError(t, ahead)
	}
}

// Writers come in between: no transaction packs a whole library.
func TestPackingLetsWritersIn(t *testing.T) {
	l, all := large(t, 40), 250 // clips, with 75,000 strokes
	between := 0
	writeBesidePacking(t, l, func(time.Duration) {
		if n := packs(t, l); n > 0 && n < all {
			between++
		}
	})
	require.Equal(t, all, packs(t, l))
	require.Greater(t, between, 3, "the writer got in while the clips were packed")
}

// BenchmarkWriterBesidePacking is how long half of the writers wait at most.
func BenchmarkWriterBesidePacking(b *testing.B) {
	l := large(b, 40)
	var waits []time.Duration
	for b.Loop() {
		_, err := l.write.Exec("DELETE FROM pack")
		require.NoError(b, err)
		writeBesidePacking(b, l, func(wait time.Duration) { waits = append(waits, wait) })
	}
	slices.Sort(waits)
	b.ReportMetric(float64(waits[len(waits)/2].Microseconds())/1e3, "ms-wait")
}

// writeBesidePacking writes again and again while a library is packed, and tells
// after each time how long it took.
func writeBesidePacking(tb testing.TB, l *Library, wrote func(time.Duration)) {
	ahead := make(chan error, 1)
	go func() { ahead <- l.PackAhead(context.Background()) }()
	for n := 0; ; n++ {
		began := time.Now()
		p := player(0)
		p.Note = strconv.Itoa(n)
		must(tb, l, Put(p))
		wrote(time.Since(began))
		select {
		case err := <-ahead:
			require.NoError(tb, err)
			return
		default:
		}
	}
}

// Who waits long is told how far it is, and of the end, also where it is given up;
// of what is done soon nobody is told.
func TestReminder(t *testing.T) {
	var told [][2]int
	r := newThrottle(func(done, total int) { told = append(told, [2]int{done, total}) }, 3)
	r.tell(1)
	r.tell(3)
	r.end()
	require.Empty(t, told)
	r.next = time.Now()
	r.tell(1)
	r.tell(2) // too soon after
	r.end()
	require.Equal(t, [][2]int{{1, 3}, {3, 3}}, told)
	nobody := newThrottle(nil, 2)
	nobody.next = time.Now()
	nobody.tell(1)
	nobody.end()
}

// A reading that is given up stops packing and keeps what is packed.
func TestFillStops(t *testing.T) {
	l := large(t, 40)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	films, err := l.films(ctx, Filter{}, true)
	require.NoError(t, err)
	go func() {
		for packs(t, l) == 0 {
			time.Sleep(time.Millisecond)
		}
		cancel()
	}()
	require.ErrorIs(t, l.fill(ctx, films), context.Canceled)
	n := packs(t, l)
	require.Greater(t, n, 0)
	require.Less(t, n, len(films))
}

// SQLite's quote and Go's reading of numbers lose nothing together.
func TestQuotedNumbersComeBack(t *testing.T) {
	l := filled(t)
	rng := rand.New(rand.NewPCG(1, 2))
	values := []float64{0, -0.25, 1.0 / 3, math.MaxFloat64, math.SmallestNonzeroFloat64, 0.1 + 0.2}
	for range 20_000 {
		values = append(values, rng.Float64()*3600)
	}
	for _, v := range values {
		var text string
		require.NoError(t, l.read.QueryRow("SELECT quote(?)", v).Scan(&text))
		got, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		require.Equal(t, v, got, text)
	}
}

// No text that is not one of ours makes taking it apart crash or go on for ever.
func FuzzTextReader(f *testing.F) {
	f.Add("3,-4,forehand,good,7,70,1.5,4:a:,b0,0,,good,,,,1:x")
	f.Add("1,2,3:abc1:x0:")
	f.Fuzz(func(t *testing.T, text string) {
		u := textReader{rest: text}
		for n := 0; u.rest != ""; n++ {
			before := len(u.rest)
			u.stroke()
			if len(u.rest) >= before {
				t.Fatal(errors.New("nothing was taken"))
			}
		}
	})
}
