package clip_test

import (
	"context"
	"errors"
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/clip/av"
)

// A roll shows the same pictures as single looks do, whichever way the file is
// made, wherever it begins.
func TestRollShowsWhatSingleLooksShow(t *testing.T) {
	for _, f := range cases(t) {
		if f.Outcome == "clear_error" {
			continue
		}
		t.Run(f.ID, func(t *testing.T) {
			c := f.open(t, clip.Options{})
			count := c.Index().Len()
			alone := make([]int, count)
			for n := range alone {
				img, err := c.Image(context.Background(), n)
				require.NoError(t, err)
				alone[n] = read(img)
			}
			rnd := rand.New(rand.NewPCG(3, 3))
			view := av.NewView()
			defer view.Close()
			for range 8 {
				first := rnd.IntN(count)
				last := min(count-1, first+rnd.IntN(40))
				next := first
				err := c.Roll(context.Background(), first, last, func(n int, p *av.Picture) error {
					require.Equal(t, next, n)
					next++
					img, err := view.RGBA(p, c.Look())
					require.NoError(t, err)
					require.Equal(t, alone[n], read(img), "frame %d of the roll %d to %d", n, first, last)
					return nil
				})
				require.NoError(t, err)
				require.Equal(t, last+1, next)
			}
		})
	}
}

// read is the number of a picture, -1 for one that cannot be read.
func read(img image.Image) int {
	n, err := number(img)
	if err != nil {
		return -1
	}
	return n
}

func TestRollEndsEarly(t *testing.T) {
	f := cases(t)[0]
	c := f.open(t, clip.Options{})
	stop := errors.New("enough")
	require.ErrorIs(t, c.Roll(context.Background(), 0, 20, func(n int, _ *av.Picture) error {
		if n == 5 {
			return stop
		}
		return nil
	}), stop)
	require.ErrorIs(t, c.Roll(context.Background(), 0, 100000, func(int, *av.Picture) error { return nil }), clip.ErrFrame)
	ctx, cancel := context.WithCancel(context.Background())
	err := c.Roll(ctx, 0, 20, func(n int, _ *av.Picture) error {
		cancel()
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
}
