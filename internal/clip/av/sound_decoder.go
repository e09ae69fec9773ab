package av

/*
#include "native.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// SoundDecoder decodes the sound of a source's chosen stream to one channel of floats.
// It is used by one goroutine at a time. The caller closes it.
type SoundDecoder struct {
	*Decoder
	mixer *C.sl_mixer
	frame *astiav.Frame
	rate  int
}

// NewSoundDecoder makes a decoder of the source's chosen stream that gives rate samples
// a second.
func NewSoundDecoder(s *Source, rate int) (*SoundDecoder, error) {
	d, err := newDecoder(s, map[string]string{"threads": "1"})
	if err != nil {
		return nil, err
	}
	// With the length of a tick known, a block whose first samples are priming, and
	// left out, gets the time of the first that is not.
	base := s.streams[s.chosen].Base
	d.context().pkt_timebase = C.AVRational{num: C.int(base.Num), den: C.int(base.Den)}
	return &SoundDecoder{Decoder: d, mixer: C.sl_mixer_new(C.int(rate)), frame: astiav.AllocFrame(), rate: rate}, nil
}

// Feed hands over the packet that the source read last, with its own times.
func (h *SoundDecoder) Feed(s *Source) error {
	if err := h.cc.SendPacket(s.pkt); err != nil {
		return fmt.Errorf("decode sound: %w", err)
	}
	return nil
}

// Receive appends the next decoded samples to out and returns them with the time of
// the first sample that went in, in ticks of the stream, NoTime where the file does
// not say. ErrAgain and ErrEnd as of Decoder.Receive; with ErrEnd the last samples
// still come.
func (h *SoundDecoder) Receive(out []float32) ([]float32, int64, error) {
	err := h.cc.ReceiveFrame(h.frame)
	switch {
	case errors.Is(err, astiav.ErrEagain):
		return out, NoTime, ErrAgain
	case errors.Is(err, astiav.ErrEof):
		out, err = h.mix(out, nil)
		if err == nil {
			err = ErrEnd
		}
		return out, NoTime, err
	case err != nil:
		return out, NoTime, fmt.Errorf("decode sound: %w", err)
	}
	f := (*C.AVFrame)(h.frame.UnsafePointer())
	at := h.frame.Pts()
	out, err = h.mix(out, f)
	h.frame.Unref()
	return out, at, err
}

func (h *SoundDecoder) mix(out []float32, f *C.AVFrame) ([]float32, error) {
	room := C.sl_mix_bound(h.mixer, f)
	if room <= 0 {
		return out, failure("set up sound", room)
	}
	at := len(out)
	out = append(out, make([]float32, room)...)
	n := C.sl_mix(h.mixer, f, (*C.float)(unsafe.Pointer(&out[at])), room)
	if n < 0 {
		return out[:at], failure("convert sound", n)
	}
	return out[:at+int(n)], nil
}

// Flush forgets all that was fed, for the source has moved.
func (h *SoundDecoder) Flush() {
	h.Decoder.Flush()
	C.sl_mixer_free(&h.mixer)
	h.mixer = C.sl_mixer_new(C.int(h.rate))
}

// Close frees everything; more calls do nothing.
func (h *SoundDecoder) Close() {
	h.Decoder.Close()
	C.sl_mixer_free(&h.mixer)
	if h.frame != nil {
		h.frame.Free()
		h.frame = nil
	}
}
