package clip

import (
	"context"
	"errors"
	"sync"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/picture"
)

// Look is how the clip's pictures are shown.
func (c *Clip) Look() av.Look { return c.look }

// Shown is how they are shown as a coach has set it.
func (c *Clip) Shown(a picture.Adjustment) av.Look {
	l := c.look.Rotated(a.Rotation, a.Mirror)
	l.Brightness, l.Contrast, l.Gamma = a.Brightness, a.Contrast, a.Gamma
	return l
}

// Roll decodes the pictures from first to last, both included, and gives each of
// them with its number, in order; a picture that is lost is stood in for by the one
// before it, or by the next where none is before. The picture is closed when give
// returns; an error of give ends the roll and is returned. Roll waits for the index
// and reads with a decoder of its own, beside whatever else looks at the clip.
func (c *Clip) Roll(ctx context.Context, first, last int, give func(n int, p *av.Picture) error) error {
	if err := c.Indexed(ctx); err != nil {
		return err
	}
	x, err := c.knowingFrame(ctx, first)
	if err == nil && last >= first {
		x, err = c.knowingFrame(ctx, last)
	}
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(c.ctx, cancel)()
	var giving sync.Mutex
	left := false // nothing may be given any longer
	rolled := make(chan error, 1)
	err = c.try(ctx, func() {
		rolled <- c.roll(ctx, x, first, last, func(n int, p *av.Picture) error {
			giving.Lock()
			defer giving.Unlock()
			if left {
				return context.Canceled
			}
			return give(n, p)
		})
	})
	if err == nil {
		err = <-rolled
	} else {
		giving.Lock() // the last picture may still be with the caller
		left = true
		giving.Unlock()
	}
	var asGiven *given
	switch {
	case c.ctx.Err() != nil:
		return closed()
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.As(err, &asGiven):
		return asGiven.error
	}
	return c.trouble(err)
}

// roll is Roll on a goroutine of its own, which may be abandoned.
func (c *Clip) roll(ctx context.Context, x *Index, first, last int, give func(int, *av.Picture) error) error {
	cur, err := c.player.cursor(0)
	if err != nil {
		return err
	}
	defer func() { cur.close() }()
	cur.stopWith(ctx)
	return roll(ctx, cur, x, first, last, give)
}

// given is an error of the caller's own.
type given struct{ error }

func roll(ctx context.Context, cur *cursor, x *Index, first, last int, give func(int, *av.Picture) error) error {
	next, err := enter(ctx, cur, x, first)
	if err != nil {
		return err
	}
	var now held // the last picture at or before the one that is wanted
	defer func() { now.close(); next.close() }()
	for want, ended := first, false; want <= last; want++ {
		for !ended && (now.picture == nil || now.n < want) {
			if next.picture == nil {
				n, pic, err := cur.step(ctx, first)
				if ended = errors.Is(err, av.ErrEnd); ended {
					break
				}
				if err != nil {
					return err
				}
				next = held{n, pic}
			}
			if next.n > want {
				break
			}
			now.close()
			now, next = next, held{}
		}
		shown := now
		if shown.picture == nil {
			shown = next
		}
		if shown.picture == nil {
			return lost(want)
		}
		if err := give(want, shown.picture); err != nil {
			return &given{err}
		}
	}
	return nil
}

// enter moves to where picture first comes out, or what stands in for it, and
// returns the first picture from there.
func enter(ctx context.Context, cur *cursor, x *Index, first int) (held, error) {
	for place := x.enter(first); ; place-- {
		err := cur.enter(ctx, x, max(0, place))
		if err == nil {
			var h held
			if h.n, h.picture, err = cur.step(ctx, first); err == nil && (h.n <= first || place <= 0) {
				return h, nil
			}
			h.close()
		}
		if place > 0 && ctx.Err() == nil {
			continue // a group further back may hold it
		}
		if err == nil || errors.Is(err, av.ErrEnd) {
			err = lost(first)
		}
		return held{}, err
	}
}

func (h held) close() {
	if h.picture != nil {
		h.picture.Close()
	}
}

func lost(n int) error {
	return problemf(ErrFrame, "Frame %d is damaged and no picture can be shown in its place.", n)
}
