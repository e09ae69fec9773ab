// Package reel makes short films out of moments of clips: each with what leads to
// it and what follows, then once more in slow motion with the marked moment held,
// above a caption. All pieces get one size, one rate and one sound. Films name no
// place, device or encoder.
//
// Times are seconds on a clip's own clock, frames places in its showing order.
package reel

import (
	"context"
	"errors"
	"image"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/picture"
	"strokeledger/internal/timecode"
)

// Footage is a clip open for decoding. Roll closes each picture when give returns.
type Footage interface {
	Shown(a picture.Adjustment) av.Look
	Roll(ctx context.Context, first, last int, give func(n int, p *av.Picture) error) error
	Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error)
}

// Times says when the pictures of a clip are shown.
type Times interface {
	Len() int
	Seconds(n int) float64
	FrameAt(seconds float64) int
	EndSeconds() float64
}

// Source opens a piece's clip; release is called once.
type Source func(ctx context.Context) (f Footage, x Times, release func(), err error)

// Piece is one stretch of a clip.
type Piece struct {
	Source Source
	From   float64 // where it begins; what lies outside the clip is left out
	To     float64 // where it ends
	Shown  picture.Adjustment
	Moment int // the frame that is repeated in slow motion, -1 none
	// Part is what is shown of the pictures, in pixels as they are shown; empty: all. Even
	// places and sizes lose nothing.
	Part image.Rectangle
	// Drawn is what is drawn on its frames, its places parts of the picture, or of the part,
	// as it is shown. What is on one frame alone is seen where the moment is repeated,
	// which stands still on it.
	Drawn   []picture.Drawing
	Beside  *Beside // another clip's pictures at the same time; nil: none
	Caption Caption
}

// Options say how a film is made. Zero values take what is usual.
type Options struct {
	Width, Height int           // of the pictures, pixels, even; see Format. The film is higher by the band of the captions
	Rate          timecode.Base // seconds a picture; see Format
	Slow          int           // how many times slower the moment is repeated; 0: 4
	Around        float64       // seconds of the clip repeated before and after the moment; 0: 0.4
	Hold          float64       // seconds for which the moment stands still; 0: picture.Stand
	Silent        bool          // without the sound of the clips
	Closing       []string      // paragraphs of the card at the end; none: no card
	Letters       *Letters      // nil: the ones of the program
	Progress      func(done, total int)
}

// cardSeconds is how long the closing card stands.
const cardSeconds = 3

// quality is libx264's rate factor of every film.
const quality = 21

// soundRate is the sound of every film, one channel.
const soundRate = 48000

// ErrNothing says that no piece has a picture.
var ErrNothing = errors.New("no piece has a picture")

func (o Options) filled() Options {
	if o.Slow == 0 {
		o.Slow = 4
	}
	if o.Around == 0 {
		o.Around = 0.4
	}
	if o.Hold == 0 {
		o.Hold = picture.Stand
	}
	if o.Letters == nil {
		o.Letters = NewLetters()
	}
	return o
}

// Write makes a film of the pieces in their order. The file bears its name only
// once it is whole; where anything fails, or ctx ends, nothing is left behind. The
// error of a Source or of a clip is returned as it is. It returns how many pictures
// the film has.
func Write(ctx context.Context, path string, pieces []Piece, o Options) (pictures int, err error) {
	o = o.filled()
	band := o.band(pieces)
	film, err := av.Create(path, av.FilmOptions{
		Width: o.Width, Height: o.Height + band, Rate: o.Rate, CRF: quality, SoundRate: soundRate,
	})
	if err != nil {
		return 0, err
	}
	defer film.Abort()
	fit, err := av.NewFitter(o.Width, o.Height+band, band)
	if err != nil {
		return 0, err
	}
	defer fit.Close()

	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	c := &cutter{Options: o, band: band, fit: fit, strips: make(chan strip, 8)}
	done := make(chan error, 1)
	go func() { // cuts while the film is being encoded
		defer close(c.strips)
		done <- c.cut(ctx, pieces)
	}()
	var failed error
	for s := range c.strips {
		if failed == nil {
			if failed = c.expose(film, s); failed != nil {
				stop(failed)
			}
		}
		if s.last {
			s.picture.Close()
		}
	}
	switch err := <-done; {
	case failed != nil:
		return 0, failed
	case err != nil:
		return 0, err
	case c.exposed == 0:
		return 0, ErrNothing
	}
	return c.exposed, film.Close()
}

// expose appends a strip to the film.
func (c *cutter) expose(film *av.Film, s strip) error {
	if s.sound != nil {
		return film.Samples(s.sound)
	}
	for _, o := range s.lay {
		if err := s.picture.Lay(o); err != nil {
			return err
		}
	}
	for range s.times {
		if err := film.Append(s.picture); err != nil {
			return err
		}
		c.exposed++
	}
	if c.Progress != nil && s.total > 0 {
		c.Progress(c.exposed, s.total)
	}
	return nil
}

// strip is one picture on its way to the film, or some sound.
type strip struct {
	picture *av.FilmPicture
	lay     []*av.Overlay // before it is appended
	times   int           // how often
	last    bool          // the film picture is not needed any more
	total   int           // pictures of the film, as far as known
	sound   []float32
}

// Format is the size and rate that suit most of a film's pieces: what most of them
// have, at most 1920 x 1080 or 1080 x 1920 and at most 60 pictures a second.
func Format(shapes []Shape) (width, height int, rate timecode.Base) {
	size := most(shapes, func(s Shape) image.Point { return image.Pt(s.Width, s.Height) })
	width, height = boxed(size.X, size.Y)
	if len(shapes) == 0 {
		return width, height, usual(0)
	}
	return width, height, most(shapes, func(s Shape) timecode.Base { return usual(s.Rate) })
}

// Shape is what a film needs to know of a piece's clip beforehand.
type Shape struct {
	Width, Height int     // as shown
	Rate          float64 // pictures a second, on average
}

// most is the commonest value, the first of several as common.
func most[V comparable](shapes []Shape, of func(Shape) V) (best V) {
	count := map[V]int{}
	for _, s := range shapes {
		count[of(s)]++
	}
	for _, s := range shapes {
		if v := of(s); count[v] > count[best] {
			best = v
		}
	}
	return best
}

// Limits of a film's short side: captions need some room, and more than 1080 lines
// show nothing more on a telephone.
const shortLeast, shortMost, longMost = 360, 1080, 1920

func boxed(w, h int) (int, int) {
	if w <= 0 || h <= 0 {
		return 1280, 720
	}
	short, long := float64(min(w, h)), float64(max(w, h))
	scale := min(1, shortMost/short, longMost/long)
	if short*scale < shortLeast && long/short < 3 {
		scale = shortLeast / short
	}
	even := func(n int) int { return max(2, int(float64(n)*scale/2+0.5)*2) }
	return even(w), even(h)
}

// usual is the usual picture rate nearest to one that was measured; of faster
// films every second picture, or fourth.
func usual(rate float64) timecode.Base {
	for rate > 62 {
		rate /= 2
	}
	best := timecode.Base{Num: 1, Den: 25}
	if rate < 20 {
		return best
	}
	for _, b := range []timecode.Base{{Num: 1001, Den: 24000}, {Num: 1, Den: 24}, {Num: 1001, Den: 30000}, {Num: 1, Den: 30}, {Num: 1, Den: 48}, {Num: 1, Den: 50}, {Num: 1001, Den: 60000}, {Num: 1, Den: 60}} {
		if distance(b, rate) < distance(best, rate) {
			best = b
		}
	}
	return best
}

func distance(b timecode.Base, rate float64) float64 {
	d := float64(b.Den)/float64(b.Num) - rate
	return max(d, -d)
}
