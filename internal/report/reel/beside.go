package reel

import (
	"cmp"
	"context"
	"errors"
	"image"
	"sort"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/picture"
)

// Beside is another clip whose pictures stand beside those of a piece. The piece's moment
// and its own are one: both run from there as they were filmed, and to each picture of the
// piece stands the nearest of the other. What either of them does not show is left out. The
// sound is the piece's.
type Beside struct {
	Source Source
	Shown  picture.Adjustment
	Part   image.Rectangle   // as of Piece
	Moment int               // a frame of it
	Pace   float64           // as of picture.Lock
	Drawn  []picture.Drawing // as of Piece
	Left   bool              // it stands at the left of the piece's pictures
}

// besides is a clip beside a piece's, open.
type besides struct {
	Beside
	footage Footage
	of      func(n int) int // its frame to a frame of the piece's
	own     image.Rectangle // where the piece's pictures stand
	box     image.Rectangle // where its own do
}

func (b *besides) look() av.Look { return b.footage.Shown(b.Shown).Cut(b.Part, 0) }

// between is how many pixels lie between two pictures.
const between = 8

// Boxes are where two pictures stand in those of a film of that size: the left one, the right one.
func Boxes(width, height int) (left, right image.Rectangle) {
	half := (width - between) / 2 &^ 1
	return image.Rect(0, 0, half, height), image.Rect(width-half, 0, width, height)
}

// openBeside opens the other clip of a piece, and cuts the piece to what both show.
func (c *cutter) openBeside(ctx context.Context, p *opened, x Times) error {
	f, y, release, err := p.Beside.Source(ctx)
	if err != nil {
		return err
	}
	own := p.release
	p.release = func() { release(); own() }
	b := &besides{Beside: *p.Beside, footage: f}
	if b.box, b.own = Boxes(c.Width, c.Height); !b.Left {
		b.box, b.own = b.own, b.box
	}
	lock := picture.Lock{Frame: p.Moment, Other: b.Moment, Pace: b.Pace}
	// A moment of the other's clock on the piece's.
	on := func(seconds float64) float64 {
		return x.Seconds(p.Moment) + (seconds-y.Seconds(b.Moment))/cmp.Or(b.Pace, 1)
	}
	b.of = b.met(x.Len(), func(n int) int {
		if k := lock.Of(x, y, n); k >= 0 {
			return k
		}
		if x.Seconds(n) < on(y.Seconds(0)) { // slow motion goes a little beyond
			return 0
		}
		return y.Len() - 1
	})
	p.From, p.To = max(p.From, on(y.Seconds(0))), min(p.To, on(y.EndSeconds()))
	p.beside = b
	return nil
}

// met has a frame on which alone something is drawn stand beside the next one of the
// piece's, where the piece has too few to meet each frame of the other. of, which is its
// frame to each of the piece's, of which there are that many, never falls.
func (b *besides) met(frames int, of func(n int) int) func(n int) int {
	instead := map[int]int{}
	for _, d := range b.Drawn {
		n := sort.Search(frames, func(n int) bool { return of(n) >= d.First })
		if d.Alone() && 0 < n && n < frames {
			instead[n] = d.First
		}
	}
	return func(n int) int {
		if k, ok := instead[n]; ok {
			return k
		}
		return of(n)
	}
}

// fitting makes film pictures of the frames first to last of a piece, in their order; end
// is called when no more is asked for.
func (c *cutter) fitting(ctx context.Context, p opened, first, last int) (fit func(n int, pic *av.Picture) (*av.FilmPicture, error), end func()) {
	look, b := p.look(), p.beside
	if b == nil {
		return func(_ int, pic *av.Picture) (*av.FilmPicture, error) { return c.fit.Fit(pic, look) }, func() {}
	}
	other := b.look()
	r := roll(ctx, b.footage, b.of(first), b.of(last))
	return func(n int, pic *av.Picture) (*av.FilmPicture, error) {
		beside, err := r.at(b.of(n))
		if err != nil {
			return nil, err
		}
		made, err := c.fit.Blank()
		if err != nil {
			return nil, err
		}
		if err := errors.Join(c.fit.FitIn(made, pic, look, b.own), c.fit.FitIn(made, beside, other, b.box)); err != nil {
			made.Close()
			return nil, err
		}
		return made, nil
	}, r.end
}

// drawn is what lies over the pictures of a piece; see [sketches.on].
func (c *cutter) drawn(p opened) func(frame int, alone bool) []*av.Overlay {
	b := p.beside
	if b == nil {
		return newSketches(p.Drawn, c.Letters, c.fit.Place(p.look())).on
	}
	own, other := newSketches(p.Drawn, c.Letters, p.look().PlaceIn(b.own)), newSketches(b.Drawn, c.Letters, b.look().PlaceIn(b.box))
	return func(n int, alone bool) []*av.Overlay { return append(own.on(n, alone), other.on(b.of(n), alone)...) }
}

// rolling decodes a stretch of a clip as far as somebody has come who asks for its frames
// in order.
type rolling struct {
	given chan lent
	now   *lent
	err   error // why nothing more comes; read once given is closed
	stop  context.CancelFunc
}

// lent is a picture that may be used until it is given back.
type lent struct {
	n       int
	picture *av.Picture
	back    chan struct{}
}

func roll(ctx context.Context, f Footage, first, last int) *rolling {
	ctx, stop := context.WithCancel(ctx)
	r := &rolling{given: make(chan lent), stop: stop}
	go func() {
		defer close(r.given)
		r.err = f.Roll(ctx, first, last, func(n int, p *av.Picture) error {
			l := lent{n, p, make(chan struct{})}
			select {
			case r.given <- l:
			case <-ctx.Done():
				return ctx.Err()
			}
			<-l.back
			return nil
		})
	}()
	return r
}

// at is a frame, which is not before the one asked for last. It may be used until the next is asked for.
func (r *rolling) at(n int) (*av.Picture, error) {
	for r.now == nil || r.now.n < n {
		r.giveBack()
		l, ok := <-r.given
		if !ok {
			return nil, cmp.Or(r.err, context.Canceled)
		}
		r.now = &l
	}
	return r.now.picture, nil
}

func (r *rolling) giveBack() {
	if r.now != nil {
		close(r.now.back)
		r.now = nil
	}
}

// end stops decoding and waits until it has stopped.
func (r *rolling) end() {
	r.giveBack()
	r.stop()
	for l := range r.given {
		close(l.back)
	}
}

// Wide is the size that suits a film of pictures beside each other, of the shape that most
// of them have: at most 1920 pixels across and 1080 down.
func Wide(shapes []Shape) (width, height int) {
	w, h, _ := Format(shapes)
	scale := min(1, float64(longMost-between)/float64(2*w), shortMost/float64(h))
	even := func(n int) int { return max(2, int(float64(n)*scale)&^1) }
	return 2*even(w) + between, even(h)
}
