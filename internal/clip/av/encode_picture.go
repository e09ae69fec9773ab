package av

/*
#include "film.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"image"
	"runtime"
	"sync"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// FilmPicture is one picture in the form in which a film takes it. It may be appended to
// films again and again, by one goroutine at a time. The caller closes it.
type FilmPicture struct {
	frame *astiav.Frame
	shown image.Rectangle // the part with a picture; all else is black
	from  *Fitter
}

// Fitter makes film pictures of one size out of decoded pictures. Film pictures may be closed by any
// goroutine; everything else is for one at a time. The caller closes it, before or
// after its film pictures.
type Fitter struct {
	width, height int
	above         int // rows of the film in which pictures stand; below them it is black
	c             *C.sl_fit

	mu    sync.Mutex
	spare []*FilmPicture // closed ones, whose memory is used again
	done  bool
}

// NewFitter makes a fitter for films of that size, of which so many rows at the foot are
// left free; all three even.
func NewFitter(width, height, foot int) (*Fitter, error) {
	if width <= 0 || height <= foot || width%2 != 0 || height%2 != 0 || foot < 0 || foot%2 != 0 {
		return nil, fmt.Errorf("%d x %d above %d rows is not an even picture size", width, height-foot, foot)
	}
	c := C.sl_fit_new()
	if c == nil {
		return nil, errors.New("out of memory")
	}
	return &Fitter{width: width, height: height, above: height - foot, c: c}, nil
}

// Place is where a picture that is shown with that look stands in the fitter's
// film pictures: as large as it can be, in the middle, even on all sides.
func (f *Fitter) Place(l Look) image.Rectangle {
	return l.PlaceIn(image.Rect(0, 0, f.width, f.above))
}

// PlaceIn is where a picture that is shown with that look stands in a box, which is even
// on all sides: as large as it can be, in the middle, even too.
func (l Look) PlaceIn(box image.Rectangle) image.Rectangle {
	w, h := box.Dx(), box.Dy()
	if l.Width*h > l.Height*w {
		h = max(2, (l.Height*w+l.Width/2)/l.Width&^1)
	} else {
		w = max(2, (l.Width*h+l.Height/2)/l.Height&^1)
	}
	at := box.Min.Add(image.Pt((box.Dx()-w)/2&^1, (box.Dy()-h)/2&^1))
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}

// Fit makes a film picture of a picture.
func (f *Fitter) Fit(p *Picture, l Look) (*FilmPicture, error) {
	at := f.Place(l)
	c, err := f.picture(at)
	if err != nil {
		return nil, err
	}
	if err := f.fit(c, p, l, at); err != nil {
		c.Close()
		return nil, err
	}
	return c, nil
}

func (f *Fitter) fit(c *FilmPicture, p *Picture, l Look, at image.Rectangle) error {
	l.Width, l.Height = at.Dx(), at.Dy()
	look := l.of(p.facts, p.colour)
	return failure("fit picture", C.sl_fit_picture(f.c, p.native(), &look, c.native(), C.int(at.Min.X), C.int(at.Min.Y)))
}

// FitIn puts a picture into a box of a film picture of the fitter's that has more than one;
// see Look.PlaceIn. A box that is not even, or lies beyond the edge, is refused.
func (f *Fitter) FitIn(c *FilmPicture, p *Picture, l Look, box image.Rectangle) error {
	odd := (box.Min.X | box.Min.Y | box.Max.X | box.Max.Y) & 1
	if odd != 0 || box.Empty() || !box.In(image.Rect(0, 0, f.width, f.above)) {
		return fmt.Errorf("%v is no even box in pictures of %d x %d", box, f.width, f.above)
	}
	c.shown = spoilt()
	return f.fit(c, p, l, l.PlaceIn(box))
}

// Blank makes a black film picture.
func (f *Fitter) Blank() (*FilmPicture, error) { return f.picture(image.Rectangle{}) }

// spoilt is the shown part of a film picture whose rest need not be black.
func spoilt() image.Rectangle { return image.Rectangle{Max: image.Pt(-1, -1)} }

// picture is a film picture that is black around the part to be shown, and anything within.
func (f *Fitter) picture(shown image.Rectangle) (*FilmPicture, error) {
	f.mu.Lock()
	var c *FilmPicture
	if n := len(f.spare); n > 0 {
		c, f.spare = f.spare[n-1], f.spare[:n-1]
	}
	f.mu.Unlock()
	if c == nil {
		c = &FilmPicture{frame: astiav.AllocFrame(), from: f, shown: spoilt()}
		c.frame.SetWidth(f.width)
		c.frame.SetHeight(f.height)
		c.frame.SetPixelFormat(astiav.PixelFormatYuv420P)
		c.frame.SetColorRange(astiav.ColorRangeMpeg)
		if err := c.frame.AllocBuffer(0); err != nil {
			c.frame.Free()
			return nil, fmt.Errorf("picture buffer: %w", err)
		}
		n := c.native()
		n.colorspace, n.color_primaries, n.color_trc = C.AVCOL_SPC_BT709, C.AVCOL_PRI_BT709, C.AVCOL_TRC_BT709
	}
	// An encoder may still hold the picture that was in it.
	if err := failure("picture buffer", C.av_frame_make_writable(c.native())); err != nil {
		c.frame.Free()
		return nil, err
	}
	if c.shown != shown {
		C.sl_blank(c.native())
		c.shown = shown
	}
	return c, nil
}

// Close frees what the fitter holds; more calls do nothing.
func (f *Fitter) Close() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.done = true
	for _, c := range f.spare {
		c.frame.Free()
	}
	f.spare = nil
	C.sl_fit_free(&f.c)
}

func (c *FilmPicture) native() *C.AVFrame { return (*C.AVFrame)(c.frame.UnsafePointer()) }

// Close gives the film picture back to its fitter; it must not be used any more. It does
// nothing to a nil film picture.
func (c *FilmPicture) Close() {
	if c == nil {
		return
	}
	c.from.mu.Lock()
	defer c.from.mu.Unlock()
	if c.from.done {
		c.frame.Free()
		return
	}
	c.from.spare = append(c.from.spare, c)
}

// Overlay is what is laid over pictures: a caption, a sign. It is never changed,
// and any goroutine may use it.
type Overlay struct {
	at     image.Rectangle
	planes [3][]byte // luma, Cb, Cr, times their alpha
	left   [2][]byte // what shines through of luma and of chroma
}

// NewOverlay prepares a picture for laying it over others with its upper left
// corner at a place of theirs. Odd places and sizes grow to even ones.
func NewOverlay(img *image.RGBA, at image.Point) *Overlay {
	shift := at.Sub(img.Rect.Min)
	r := img.Rect.Add(shift)
	r = image.Rect(r.Min.X&^1, r.Min.Y&^1, (r.Max.X+1)&^1, (r.Max.Y+1)&^1)
	w, h := r.Dx(), r.Dy()
	o := &Overlay{at: r}
	o.planes[0], o.left[0] = make([]byte, w*h), make([]byte, w*h)
	for i := range 2 {
		o.planes[1+i] = make([]byte, w*h/4)
	}
	o.left[1] = make([]byte, w*h/4)
	const kr, kg, kb = .2126, .7152, .0722 // BT.709
	for y := 0; y < h; y += 2 {
		for x := 0; x < w; x += 2 {
			var sr, sg, sb, sa float64
			for i := range 4 {
				px, py := x+i%2, y+i/2
				c := img.RGBAAt(r.Min.X+px-shift.X, r.Min.Y+py-shift.Y) // transparent beyond the edge
				cr, cg, cb, a := float64(c.R), float64(c.G), float64(c.B), float64(c.A)
				sr, sg, sb, sa = sr+cr/4, sg+cg/4, sb+cb/4, sa+a/4
				o.planes[0][py*w+px] = byte((kr*cr+kg*cg+kb*cb)*219/255 + 16*a/255 + .5)
				o.left[0][py*w+px] = 255 - c.A
			}
			luma := kr*sr + kg*sg + kb*sb
			at := y/2*(w/2) + x/2
			o.planes[1][at] = byte((sb-luma)/(2*(1-kb))*224/255 + 128*sa/255 + .5)
			o.planes[2][at] = byte((sr-luma)/(2*(1-kr))*224/255 + 128*sa/255 + .5)
			o.left[1][at] = byte(255 - sa + .5)
		}
	}
	return o
}

// Lay lays an overlay over the film picture; what lies beyond its edge is refused.
func (c *FilmPicture) Lay(o *Overlay) error {
	if !o.at.In(image.Rect(0, 0, c.frame.Width(), c.frame.Height())) {
		return fmt.Errorf("an overlay at %v lies beyond the edge of a picture of %d x %d", o.at, c.frame.Width(), c.frame.Height())
	}
	if o.at.Empty() {
		return nil
	}
	if !o.at.In(c.shown) {
		c.shown = spoilt()
	}
	var pin runtime.Pinner
	defer pin.Unpin()
	bytes := func(b []byte) *C.uint8_t {
		pin.Pin(&b[0])
		return (*C.uint8_t)(unsafe.Pointer(&b[0]))
	}
	native := C.sl_overlay{x: C.int(o.at.Min.X), y: C.int(o.at.Min.Y), width: C.int(o.at.Dx()), height: C.int(o.at.Dy())}
	for i, p := range o.planes {
		native.plane[i] = bytes(p)
	}
	for i, p := range o.left {
		native.left[i] = bytes(p)
	}
	C.sl_lay(c.native(), &native)
	return nil
}

// Append appends a film picture as the next picture, which must be of the film's size.
func (f *Film) Append(c *FilmPicture) error {
	return f.step(func() error {
		if c.frame.Width() != f.o.Width || c.frame.Height() != f.o.Height {
			return fmt.Errorf("picture of %d x %d in a film of %d x %d", c.frame.Width(), c.frame.Height(), f.o.Width, f.o.Height)
		}
		c.frame.SetPts(f.shown)
		f.shown++
		return f.send(f.pictures, c.frame)
	})
}
