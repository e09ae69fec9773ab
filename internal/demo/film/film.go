// Package film draws the scenes of the invented club through their cameras,
// sounds them, and writes them as media.
package film

import (
	"context"
	"fmt"
	"image"
	"path/filepath"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/demo"
)

// WriteAll writes every scene under its own name into a folder that exists, as
// many at once as there are processors: each is drawn and encoded by one of
// them, which wastes least. progress counts the pictures of all scenes; it may
// be called by several goroutines at once.
func WriteAll(ctx context.Context, scenes []*demo.Scene, dir string, progress func(done, total int)) error {
	total := 0
	for _, s := range scenes {
		total += s.Frames
	}
	var done atomic.Int64
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, s := range scenes {
		g.Go(func() error {
			last := 0
			return Write(ctx, s, filepath.Join(dir, s.File), func(n, _ int) {
				sum := done.Add(int64(n - last))
				last = n
				if progress != nil {
					progress(int(sum), total)
				}
			})
		})
	}
	return g.Wait()
}

// every is how many pictures pass between two calls of progress.
const every = 25

// Write draws and encodes one scene to an MP4 file. progress, if not nil, is
// called from one goroutine at a time with the pictures done so far and their
// number. Where ctx ends first, or anything fails, no file is left.
func Write(ctx context.Context, s *demo.Scene, path string, progress func(done, total int)) error {
	return write(ctx, s, path, track(s), func(int) bool { return true }, progress)
}

// WriteMeasured is Write for tests of measuring, in less time: only the pictures in
// which strokes are measured are drawn (demo.Scene.Measured), and the first one; the
// others show the last of those again. The sound is whole.
func WriteMeasured(ctx context.Context, s *demo.Scene, path string) error {
	return write(ctx, s, path, track(s), s.Measured, nil)
}

// WriteSounded is Write with a sound that is recorded elsewhere: SoundRate samples a
// second, silent where they end before the pictures do. Only every so manyth picture is
// drawn; the others show the last of those again.
func WriteSounded(ctx context.Context, s *demo.Scene, path string, sound []float32, every int) error {
	whole := make([]float32, s.Frames*demo.SoundRate/demo.Rate)
	copy(whole, sound)
	return write(ctx, s, path, whole, func(n int) bool { return n%every == 0 }, nil)
}

// write draws the pictures that are wanted, and the first one.
func write(ctx context.Context, s *demo.Scene, path string, sound []float32, wanted func(frame int) bool, progress func(done, total int)) error {
	quality := 21
	if s.Coarse {
		quality = 30
	}
	f, err := av.Create(path, av.FilmOptions{
		Width: demo.Width, Height: demo.Height, Rate: demo.PictureBase(), KeyEvery: demo.Rate,
		SoundRate: demo.SoundRate, SoundChannels: 1, CRF: quality, Threads: 1, Recorded: s.Recorded,
	})
	if err != nil {
		return err
	}
	defer f.Abort()
	p := newPainter(s)
	img := image.NewRGBA(image.Rect(0, 0, demo.Width, demo.Height))
	const part = demo.SoundRate / demo.Rate
	for n := range s.Frames {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("draw %s: %w", s.File, err)
		}
		if n == 0 || wanted(n) {
			p.paint(img, n)
		}
		if err := f.Picture(img); err != nil {
			return err
		}
		if err := f.Samples(sound[n*part : (n+1)*part]); err != nil {
			return err
		}
		if progress != nil && ((n+1)%every == 0 || n+1 == s.Frames) {
			progress(n+1, s.Frames)
		}
	}
	return f.Close()
}
