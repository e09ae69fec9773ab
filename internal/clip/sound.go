package clip

import (
	"context"
	"math"
)

// Recording is an open file that is wanted for its sound alone, with or without
// pictures. Times are seconds from its first sample. It is safe for concurrent
// use. The caller closes it.
type Recording struct {
	ear    *ear
	rate   int
	cancel context.CancelFunc
}

// OpenSound opens a sound of any media file: its place in Info.Sounds counted from
// 1, 0 or less for the default. The error is one plain sentence
// and wraps one of the errors of this package, ErrNoSound where there is none.
func OpenSound(ctx context.Context, path string, sound int) (*Recording, error) {
	return newPatience(path).sound(ctx, sound)
}

func (p *patience) sound(ctx context.Context, sound int) (*Recording, error) {
	var r *Recording
	var failed error
	err := p.tryOpening(ctx, func() { r, failed = openSound(ctx, p.path, sound, p) }, func() {
		if r != nil {
			r.Close()
		}
	})
	if err != nil {
		return nil, err
	}
	return r, failed
}

func openSound(ctx context.Context, path string, sound int, p *patience) (*Recording, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if _, err := bounds(path, p.watch, false); err != nil {
		return nil, unreadable(path)
	}
	src, err := p.watch.OpenSource(path)
	if err != nil {
		return nil, unreadable(path)
	}
	defer src.Close()
	closing, cancel := context.WithCancel(context.Background())
	r := &Recording{ear: newEar(closing, p, src.Streams(), sound), cancel: cancel}
	r.ear.knows(r.ear.firsts(ctx, src), 0)
	if err := ctx.Err(); err != nil {
		cancel()
		return nil, err
	}
	if r.ear.chosen < 0 || math.IsNaN(r.ear.first) {
		cancel()
		return nil, faultf(ErrNoSound, "There is no sound in %q that can be played: choose another file.", path)
	}
	r.rate = r.ear.streams[r.ear.chosen].Rate
	return r, nil
}

// Rate is the sound's own number of samples a second.
func (r *Recording) Rate() int { return r.rate }

// Samples is [Clip.Samples] on the recording's own clock.
func (r *Recording) Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error) {
	zero := r.ear.first
	samples, first, err = r.ear.heard(ctx, from+zero, to+zero, rate)
	return samples, first - zero, err
}

// Close gives everything back, as [Clip.Close] does. More calls do nothing.
func (r *Recording) Close() error {
	r.cancel()
	done := make(chan struct{})
	go func() {
		defer close(done)
		r.ear.close()
	}()
	_ = r.ear.patience.wait(context.Background(), done)
	return nil
}
