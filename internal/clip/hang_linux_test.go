package clip

import (
	"context"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

// A coach presses again and again: one thread waits for the drive, not one a press.
func TestOneOpeningWaitsForADriveThatHangs(t *testing.T) {
	ctx := context.Background()
	h, ok := mountHanging(t, "film.mp4", plainClip)
	if !ok {
		t.Skip("nothing may be mounted here; TestFolderWhoseDriveHangs has the gate alone")
	}
	h.hang()
	var drives Drives
	press := func() error {
		p := drives.of(h.film)
		p.limit = shortly
		c, err := Open(ctx, h.film, Options{deadline: p})
		if err == nil {
			err = c.Close()
		}
		return err
	}
	require.ErrorIs(t, press(), ErrSlow)
	before := runtime.NumGoroutine() // each question that waits has one, and a thread of its own
	for range 20 {
		require.ErrorIs(t, press(), ErrSlow)
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before, "questions that wait")
	_, _, err := drives.Fingerprint(h.film)
	require.ErrorIs(t, err, ErrSlow)
	_, err = drives.OpenSound(ctx, h.film, 0)
	require.ErrorIs(t, err, ErrSlow)
	require.LessOrEqual(t, runtime.NumGoroutine(), before, "whatever is asked")
	h.answer()
	require.NoError(t, again(press), "it goes on by itself")
	left := func() int {
		drives.mu.Lock()
		defer drives.mu.Unlock()
		return len(drives.owed)
	}
	// The one that waited ends by itself, beside those that were asked since.
	require.Eventually(t, func() bool { return left() == 0 }, 10*time.Second, time.Millisecond, "questions under way")
}

// Whatever is asked of an open clip while its drive hangs is given up in time, with
// the sentence; what was read stays; and it goes on by itself afterwards.
func TestEveryReadingOfAClipOnADriveThatHangs(t *testing.T) {
	ctx := context.Background()
	source := longerThanOneReading(t)
	asked := map[string]func(p *deadline, c *Clip) error{
		"picture":       func(_ *deadline, c *Clip) error { _, err := c.JPEG(ctx, 450, 100); return err },
		"exact picture": func(_ *deadline, c *Clip) error { _, err := c.Image(ctx, 300); return err },
		"sound":         func(_ *deadline, c *Clip) error { _, _, err := c.Samples(ctx, 18, 19, 0); return err },
		"length":        func(_ *deadline, c *Clip) error { _, err := c.Grown(ctx); return err },
		"index":         func(_ *deadline, c *Clip) error { _, err := c.Rescan(ctx); return err },
		"roll": func(_ *deadline, c *Clip) error {
			return c.Roll(ctx, 200, 300, func(int, *av.Picture) error { return nil })
		},
		"fingerprint": func(p *deadline, _ *Clip) error { _, _, err := p.fingerprint(); return err },
		"header":      func(p *deadline, _ *Clip) error { _, err := p.recorded(ctx); return err },
		"opening": func(p *deadline, _ *Clip) error {
			c, err := Open(ctx, p.path, Options{deadline: p})
			if err == nil {
				err = c.Close()
			}
			return err
		},
		"opening of the sound": func(p *deadline, _ *Clip) error {
			r, err := p.sound(ctx, 0)
			if err == nil {
				err = r.Close()
			}
			return err
		},
	}
	for name, ask := range asked {
		t.Run(name, func(t *testing.T) {
			var p *deadline
			var hang, answer func()
			if h, ok := mountHanging(t, "film.mkv", source); ok {
				p, hang, answer = &deadline{h.film, &av.Watch{}, shortly, nil}, h.hang, h.answer
			} else { // nothing may be mounted: the gate stands for the drive
				d := newDrive(t, source)
				p, hang, answer = d.deadline, d.hang, d.answer
			}
			c, err := Open(ctx, p.path, Options{deadline: p})
			require.NoError(t, err)
			require.NoError(t, c.Indexed(ctx))
			early, err := c.JPEG(ctx, 3, 100)
			require.NoError(t, err)
			hang()
			for range 3 {
				start := time.Now()
				err := ask(p, c)
				require.Less(t, time.Since(start), 10*shortly)
				require.ErrorIs(t, err, ErrSlow)
				require.EqualError(t, err, `The drive with "`+p.path+`" does not answer: check that it is connected, then try again.`)
			}
			kept, err := c.JPEG(ctx, 3, 100)
			require.NoError(t, err, "what was read before is still there")
			require.Equal(t, early, kept)
			require.Equal(t, 500, c.Index().Len())
			answer()
			require.NoError(t, again(func() error { return ask(p, c) }), "it goes on by itself")
			hang()
			_ = ask(p, c)
			start := time.Now()
			require.NoError(t, c.Close())
			require.Less(t, time.Since(start), 10*shortly, "closing")
			answer()
		})
	}
}
