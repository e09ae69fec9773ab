package clip

import (
	"context"
	"math"
)

// Recording is an open file that is wanted for its sound alone, with or without
// pictures. Times are seconds from its first sample. It is safe for concurrent
// use. The caller closes it.
type Recording struct {
	sound  *soundReader
	rate   int
	cancel context.CancelFunc
}

// OpenSound opens a sound of any media file: its place in Info.Sounds counted from
// 1, 0 or less for the default. The error is one plain sentence
// and wraps one of the errors of this package, ErrNoSound where there is none.
func OpenSound(ctx context.Context, path string, sound int) (*Recording, error) {
	return newDeadline(path).sound(ctx, sound)
}

func (p *deadline) sound(ctx context.Context, sound int) (*Recording, error) {
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

func openSound(ctx context.Context, path string, sound int, p *deadline) (*Recording, error) {
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
	r := &Recording{sound: newSoundReader(closing, p, src.Streams(), sound), cancel: cancel}
	r.sound.knows(r.sound.firsts(ctx, src), 0)
	if err := ctx.Err(); err != nil {
		cancel()
		return nil, err
	}
	if r.sound.chosen < 0 || math.IsNaN(r.sound.first) {
		cancel()
		return nil, problemf(ErrNoSound, "There is no sound in %q that can be played: choose another file.", path)
	}
	r.rate = r.sound.streams[r.sound.chosen].Rate
	return r, nil
}

// Rate is the sound's own number of samples a second.
func (r *Recording) Rate() int { return r.rate }

// Samples is [Clip.Samples] on the recording's own clock.
func (r *Recording) Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error) {
	zero := r.sound.first
	samples, first, err = r.sound.samplesInTime(ctx, from+zero, to+zero, rate)
	return samples, first - zero, err
}

// Close gives everything back, as [Clip.Close] does. More calls do nothing.
func (r *Recording) Close() error {
	r.cancel()
	done := make(chan struct{})
	go func() {
		defer close(done)
		r.sound.close()
	}()
	_ = r.sound.deadline.wait(context.Background(), done)
	return nil
}
