package clip

import (
	"context"
	"image"

	"strokeledger/internal/clip/av"
)

// Field is one of the two moments of an interlaced picture: first or second in
// time, whichever lines it is in. Pictures are counted whole; a coach who wants to
// see the moment between two of them asks for the second field of the former.
type Field = av.Field

// The fields of a picture. Whole shows the first moment with what stands still in
// full sharpness. A picture that is not interlaced is the same in all three.
const (
	Whole  = av.Whole
	First  = av.First
	Second = av.Second
)

// JPEGField is [Clip.JPEG] of one field.
func (c *Clip) JPEGField(ctx context.Context, n, width int, field Field) ([]byte, error) {
	o, err := c.picture(ctx, shot{n, c.look.Within(width).Width, field})
	if err != nil {
		return nil, err
	}
	return o.jpeg, nil
}

// ImageField is [Clip.Image] of one field.
func (c *Clip) ImageField(ctx context.Context, n int, field Field) (*image.RGBA, error) {
	o, err := c.picture(ctx, shot{n, 0, field})
	if err != nil {
		return nil, err
	}
	return o.image, nil
}

func (c *Clip) picture(ctx context.Context, s shot) (*order, error) {
	if _, err := c.knowingFrame(ctx, s.n); err != nil {
		return nil, err
	}
	return c.player.get(ctx, s)
}

// FieldSeconds is the time of a field of picture n on the clip's clock: the second
// is half-way to the next picture, or to the end. n must be in range.
func (x *Index) FieldSeconds(n int, field Field) float64 {
	if field != Second {
		return x.Seconds(n)
	}
	next := x.EndSeconds()
	if n+1 < x.Len() {
		next = x.Seconds(n + 1)
	}
	return (x.Seconds(n) + next) / 2
}
