package store

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
)

// visitors are rows of another library: so many strokes and marks on a clip of its own.
func visitors(count int) merge.Side {
	side := merge.Side{}
	at := merge.Stamp{Clock: 7, Author: "b"}
	add := func(table string, id club.ID, row any) {
		image, err := tableImage(row)
		if err != nil {
			panic(err)
		}
		side[table] = append(side[table], merge.Row{ID: id, Image: image, Stamp: at})
	}
	c := clip(9, 0)
	add("clip", c.ID, c)
	for i := range count {
		s, m := stroke(1000+i, 9, i), mark(1000+i, 9, 0, i)
		add("stroke", s.ID, s)
		add("mark", m.ID, m)
	}
	return side
}

func tableImage(row any) (image, error) {
	switch v := row.(type) {
	case club.Clip:
		return clips().picture(v)
	case club.Stroke:
		return strokes().picture(v)
	case club.Mark:
		return marks().picture(v)
	}
	return nil, fmt.Errorf("no table for %T", row)
}

// helpTakeIn takes the work of another library in and back again until it is killed, and
// says each time that it begins.
func helpTakeIn(ctx context.Context, l *Library, count int) error {
	theirs := visitors(count)
	for n := 0; ; n++ {
		ours, plan, now := bring(panicking{}, l, theirs, 7)
		fmt.Println(n)
		if _, err := l.Take(ctx, now, ours, merge.Taken{ID: club.ID(fmt.Sprint("file ", n))}, plan.Writes); err != nil {
			return err
		}
		if _, err := l.Undo(ctx, "a"); err != nil {
			return err
		}
	}
}

// panicking ends a helper where a test would fail.
type panicking struct{}

func (panicking) Errorf(format string, args ...any) { panic(fmt.Sprintf(format, args...)) }
func (panicking) FailNow()                          { panic("the helper failed") }

// A program that is killed while it takes work in, or takes that back, leaves all of it
// or none.
func TestKilledWhileTakingIn(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "club")
	l := open(t, dir, Options{Create: true})
	fill(t, l)
	before := told(stateOf(t, l), true)
	require.NoError(t, l.Close())
	random := rand.New(rand.NewPCG(16, 3))
	const rows, kills = 400, 8
	in, out := 0, 0
	for range kills {
		_, err := killed(helper("take in until killed", dir, rows), time.Duration(random.IntN(250))*time.Millisecond)
		require.NoError(t, err)
		l, err := Open(ctx, dir, Options{})
		require.NoError(t, err)
		led, err := l.OfClip(ctx, id("clip", 9))
		require.NoError(t, err)
		if len(led.Marks) > 0 {
			in++
			require.Len(t, led.Marks, rows)
			require.Len(t, led.Strokes, rows)
			_, err := l.Undo(ctx, "a")
			require.NoError(t, err)
		} else {
			out++
		}
		require.Equal(t, before, told(stateOf(t, l), true), "down to the moments of each part")
		r, err := l.Check(ctx)
		require.NoError(t, err)
		require.True(t, r.OK, "%v", r.Findings)
		require.NoError(t, l.Close())
	}
	require.Equal(t, kills, in+out)
	t.Logf("killed with the work in %d times, without it %d", in, out)
}
