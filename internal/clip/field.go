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

// Look is how a picture is shown: see [Clip.Look].
type Look = av.Look

// The fields of a picture. Whole shows the first moment with what stands still in
// full sharpness. A picture that is not interlaced is the same in all three.
const (
	Whole  = av.Whole
	First  = av.First
	Second = av.Second
)

// JPEGField is [Clip.JPEG] of one field.
func (c *Clip) JPEGField(ctx context.Context, n, width int, field Field) ([]byte, error) {
	look := c.look.Within(width)
	look.Field = field
	return c.JPEGLook(ctx, n, look)
}

// JPEGLook returns picture n as the look says, which is made of [Clip.Look]. The
// caller must not change it.
func (c *Clip) JPEGLook(ctx context.Context, n int, look av.Look) ([]byte, error) {
	o, err := c.picture(ctx, shot{n: n, look: look})
	if err != nil {
		return nil, err
	}
	return o.data, nil
}

// Passing makes the next picture ready that is decoded on the way to those that are
// asked for, as the look says; returns its number. Without such a way it waits until
// there is one.
func (c *Clip) Passing(ctx context.Context, look Look) (int, error) {
	return c.player.pass(ctx, shot{look: look})
}

// Screen returns the pixels of picture n as the look says: blue, green, red and 255
// each, look.Width times look.Height of them without gaps. The caller must not change
// them.
func (c *Clip) Screen(ctx context.Context, n int, look av.Look) ([]byte, error) {
	o, err := c.picture(ctx, shot{n: n, look: look, form: asScreen})
	if err != nil {
		return nil, err
	}
	return o.data, nil
}

// ImageField is [Clip.Image] of one field.
func (c *Clip) ImageField(ctx context.Context, n int, field Field) (*image.RGBA, error) {
	look := c.look
	look.Field = field
	return c.ImageLook(ctx, n, look)
}

// ImageLook returns picture n as the look says, which is made of [Clip.Look].
func (c *Clip) ImageLook(ctx context.Context, n int, look av.Look) (*image.RGBA, error) {
	o, err := c.picture(ctx, shot{n: n, look: look, form: asImage})
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
