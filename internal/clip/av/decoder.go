package av

/*
#include "native.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"image"
	"strconv"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// Decoder turns the packets of a source's chosen stream into pictures. It is used
// by one goroutine at a time. The caller closes it, after its pictures or before.
type Decoder struct {
	cc     *astiav.CodecContext
	colour Colour
	skip   bool
}

// NewDecoder makes a decoder for the source's chosen stream with that many
// threads, 0 for as many as there are processors.
func NewDecoder(s *Source, threads int) (*Decoder, error) {
	options := map[string]string{"threads": strconv.Itoa(threads), "thread_type": "frame+slice"}
	switch s.streams[s.chosen].Codec {
	case "av1", "theora":
		// libdav1d 1.0 with more threads waits for ever, now and then, after moving
		// about in a damaged file; FFmpeg's Theora gives wrong pictures after a move.
		options["threads"] = "1"
	}
	return newDecoder(s, options)
}

func newDecoder(s *Source, options map[string]string) (*Decoder, error) {
	p := s.fc.Streams()[s.chosen].CodecParameters()
	codec := astiav.FindDecoder(p.CodecID())
	if codec == nil {
		return nil, fmt.Errorf("no decoder for %s", p.CodecID().Name())
	}
	o, err := dictionary(options)
	if err != nil {
		return nil, err
	}
	defer o.Free()
	d := &Decoder{cc: astiav.AllocCodecContext(codec), colour: s.streams[s.chosen].Colour}
	if err = p.ToCodecContext(d.cc); err == nil {
		err = d.cc.Open(codec, o)
	}
	if err != nil {
		d.Close()
		return nil, fmt.Errorf("open decoder: %w", err)
	}
	return d, nil
}

func (d *Decoder) context() *C.AVCodecContext { return inner[C.AVCodecContext](d.cc) }

// Feed hands over the packet that the source read last, under a number of the
// caller's: the picture made of it comes out with that number, whatever times the
// file gave it. After an error feeding may go on with the next packet. Before each
// Feed, Receive has to be called until it returns ErrAgain.
func (d *Decoder) Feed(s *Source, number int64) error {
	s.pkt.SetPts(number)
	s.pkt.SetDts(number)
	if err := d.cc.SendPacket(s.pkt); err != nil {
		return fmt.Errorf("decode: %w", err)
	}
	return nil
}

// Drain tells the decoder that no packet follows, so that it gives out what it holds.
func (d *Decoder) Drain() { _ = d.cc.SendPacket(nil) }

// ErrAgain is returned by Receive when the decoder wants a packet first.
var ErrAgain = errors.New("the decoder wants more")

// Receive returns the next picture in showing order. The caller closes it. ErrAgain
// when another packet is wanted, ErrEnd after Drain and the last picture.
func (d *Decoder) Receive() (*Picture, error) {
	f := astiav.AllocFrame()
	if f == nil {
		return nil, errors.New("out of memory")
	}
	err := d.cc.ReceiveFrame(f)
	if err == nil {
		p := &Picture{frame: f, colour: d.colour}
		C.sl_picture_facts(p.native(), &p.facts)
		return p, nil
	}
	f.Free()
	switch {
	case errors.Is(err, astiav.ErrEagain):
		return nil, ErrAgain
	case errors.Is(err, astiav.ErrEof):
		return nil, ErrEnd
	}
	return nil, fmt.Errorf("decode: %w", err)
}

// Skip makes the decoder pass over pictures that no other refers to, from the
// next packet on.
func (d *Decoder) Skip(unreferenced bool) {
	if d.skip == unreferenced {
		return
	}
	d.skip = unreferenced
	n := C.int(0)
	if unreferenced {
		n = 1
	}
	C.sl_skip(d.context(), n)
}

// Prefill makes a decoder of one thread draw every picture over this value, from the
// next packet on: what a packet does not draw stays so, in place of what was in the
// memory before.
func (d *Decoder) Prefill(value byte) { C.sl_prefill(d.context(), C.int(value)) }

// Flush forgets all that was fed, for the source has moved.
func (d *Decoder) Flush() { C.sl_flush(d.context()) }

// Close frees the decoder; more calls do nothing.
func (d *Decoder) Close() {
	if d.cc != nil {
		d.cc.Free()
		d.cc = nil
	}
}

// Picture is one decoded picture. Any goroutine may use it, one at a time; the
// caller closes it.
type Picture struct {
	frame  *astiav.Frame
	facts  C.sl_picture
	colour Colour
}

func (p *Picture) native() *C.AVFrame { return (*C.AVFrame)(p.frame.UnsafePointer()) }

// Number is the number under which the picture's packet was fed.
func (p *Picture) Number() int64 { return int64(p.facts.pts) }

// Damaged reports whether the decoder had to invent parts of the picture.
func (p *Picture) Damaged() bool { return p.facts.bad != 0 }

// Interlaced reports whether the picture is woven of two moments.
func (p *Picture) Interlaced() bool { return p.facts.interlaced != 0 }

// Clone returns the same picture with an owner of its own; no pixels are copied.
func (p *Picture) Clone() *Picture {
	return &Picture{frame: p.frame.Clone(), facts: p.facts, colour: p.colour}
}

// Close gives the pixels back; more calls do nothing.
func (p *Picture) Close() {
	if p.frame != nil {
		p.frame.Free()
		p.frame = nil
	}
}

// View converts pictures for showing. It is used by one goroutine at a time. The
// caller closes it. It keeps its buffers between pictures.
type View struct{ c *C.sl_view }

// NewView makes a view.
func NewView() *View { return &View{c: C.sl_view_new()} }

// JPEG returns the picture as shown, as a JPEG file: BT.601 full range, which is
// what its numbers mean (ITU-T T.871), 4:2:0.
func (v *View) JPEG(p *Picture, l Look, quality int) ([]byte, error) {
	look := l.of(p.facts, p.colour)
	var data *C.uint8_t
	var size C.ulong
	if err := failure("make JPEG", C.sl_view_jpeg(v.c, p.native(), &look, C.int(quality), &data, &size)); err != nil {
		return nil, err
	}
	return C.GoBytes(unsafe.Pointer(data), C.int(size)), nil
}

// Screen returns the picture as shown, of the same pixels as its JPEG before that loses
// any: blue, green, red and 255 a pixel, rows from the top without gaps. It takes room
// over where that is of the right length.
func (v *View) Screen(p *Picture, l Look, room []byte) ([]byte, error) {
	if n := 4 * l.Width * l.Height; len(room) != n {
		room = make([]byte, n)
	}
	look := l.of(p.facts, p.colour)
	code := C.sl_view_screen(v.c, p.native(), &look, (*C.uint8_t)(unsafe.Pointer(&room[0])))
	return room, failure("convert picture", code)
}

// RGBA returns the picture as shown, opaque.
func (v *View) RGBA(p *Picture, l Look) (*image.RGBA, error) {
	look := l.of(p.facts, p.colour)
	img := image.NewRGBA(image.Rect(0, 0, l.Width, l.Height))
	code := C.sl_view_rgba(v.c, p.native(), &look, (*C.uint8_t)(unsafe.Pointer(&img.Pix[0])), C.int(img.Stride))
	return img, failure("convert picture", code)
}

// Close frees the view; more calls do nothing.
func (v *View) Close() { C.sl_view_free(&v.c) }
