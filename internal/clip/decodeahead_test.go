package clip

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// made are the pictures of which a JPEG was made, once nothing is under way.
func (p *player) made(t *testing.T, width, count int) (numbers []int) {
	require.Eventually(t, func() bool {
		p.mu.Lock()
		defer p.mu.Unlock()
		return len(p.orders) == 0
	}, 5*time.Second, time.Millisecond)
	time.Sleep(50 * time.Millisecond) // for what would be begun next
	p.mu.Lock()
	defer p.mu.Unlock()
	for n := range count {
		if p.cache.has(shot{n: n, look: p.clip.look.Within(width)}) {
			numbers = append(numbers, n)
		}
	}
	return numbers
}

// A viewer who takes every picture finds the next ones ready; for one who leaves
// pictures out, those are not made, and one of them that is asked for late comes
// out all the same.
func TestOnlyWhatIsLookedAtIsMade(t *testing.T) {
	open := func() *Clip {
		c, err := Open(context.Background(), "../../testdata/clips/a01_baseline.mp4", Options{})
		require.NoError(t, err)
		t.Cleanup(func() { require.NoError(t, c.Close()) })
		return c
	}
	look := func(c *Clip, numbers ...int) {
		for _, n := range numbers {
			_, err := c.JPEG(context.Background(), n, 320)
			require.NoError(t, err)
		}
	}
	c := open()
	look(c, 0, 1, 2, 3, 4)
	require.Contains(t, c.player.made(t, 320, 75), 4+aheadOf)

	c = open()
	look(c, 0, 3, 6, 9)
	before := c.player.made(t, 320, 75) // the step was not known at first
	look(c, 12, 15, 18, 21, 24, 27, 30)
	after := c.player.made(t, 320, 75)
	for _, n := range after {
		if n > before[len(before)-1] {
			require.Zero(t, n%3, "picture %d was made, and nobody asked for it", n)
		}
	}
	look(c, 29)
	require.Contains(t, c.player.made(t, 320, 75), 29)
}

// Whoever waits for a picture far into a group sees one that is passed on the way. The
// way there is begun only once somebody wants to see it.
func TestPassing(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	c, err := Open(ctx, "../../testdata/clips/a01_baseline.mp4", Options{})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	const to = 40
	look := c.Look().Within(160)
	passed := make(chan int, 1)
	go func() {
		n, err := c.Passing(ctx, look)
		if err != nil {
			n = -1
		}
		passed <- n
	}()
	require.Eventually(t, func() bool {
		c.player.mu.Lock()
		defer c.player.mu.Unlock()
		return len(c.player.passing) == 1
	}, time.Minute, time.Millisecond)
	_, err = c.JPEGLook(ctx, to, c.Look().Within(320))
	require.NoError(t, err)
	n := <-passed
	require.GreaterOrEqual(t, n, 0)
	require.Less(t, n, to)
	c.player.mu.Lock()
	require.True(t, c.player.cache.has(shot{n: n, look: look}), "it is kept as it was asked for")
	require.Empty(t, c.player.passing)
	c.player.mu.Unlock()

	// Nothing is on its way: nothing is passed, and who no longer waits is forgotten.
	soon, stop := context.WithTimeout(ctx, 20*time.Millisecond)
	defer stop()
	_, err = c.Passing(soon, look)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.Empty(t, c.player.passing)
}
