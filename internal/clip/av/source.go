package av

/*
#cgo pkg-config: libavformat libavcodec libavutil libswscale libswresample libjpeg
#cgo CFLAGS: -O3
#cgo LDFLAGS: -lm
#include "native.h"
#include <stdlib.h>
*/
import "C"

import (
	"errors"
	"fmt"
	"strconv"
	"sync"
	"unsafe"

	"github.com/asticode/go-astiav"

	"strokeledger/internal/timecode"
)

// NoTime is the time of a packet that carries none.
const NoTime int64 = C.INT64_MIN

// ErrEnd is returned by reads past the last packet or picture.
var ErrEnd = errors.New("end of the stream")

// Kind is what a stream carries.
type Kind int

// Kinds of streams; all others are Other.
const (
	Other Kind = iota
	Video
	Sound
)

// Stream is what a file says of one of its streams.
type Stream struct {
	Index   int
	Kind    Kind
	Codec   string
	Known   bool // there is a decoder for it
	Cover   bool // a still picture that goes with the file, not footage
	Default bool
	Base    timecode.Base

	Width, Height      int // as coded
	PixelNum, PixelDen int // width to height of one pixel; 0 when unsaid
	Quarter            int // quarter turns clockwise, after the mirror
	Mirror             bool
	Progressive        bool // said to hold whole pictures only
	Interlaced         bool // said to hold pictures of two moments
	Delay              int  // pictures that decoding order runs ahead of showing order
	FrameNum, FrameDen int  // average pictures a second as the header claims; 0 when unsaid
	Start              int64
	Rate, Channels     int
	Colour             Colour
	Fields             bool // its packets may hold single fields: only their bytes tell
	Plain              bool // every packet of it is a picture, shown unless the container says otherwise
}

// Packet is one packet of a stream as the container tells it, in ticks of the
// stream's base.
type Packet struct {
	PTS, DTS int64 // NoTime where there is none
	Pos      int64 // byte in the file, -1 when unknown
	Size     int32
	Duration int32
	Flags    Flags
}

// Flags of a packet.
type Flags uint8

// What a packet may be.
const (
	Key     Flags = C.SL_KEY
	Hidden  Flags = C.SL_HIDDEN // decoded but never shown
	Corrupt Flags = C.SL_CORRUPT
	Top     Flags = C.SL_TOP    // holds one field only, the upper
	Bottom  Flags = C.SL_BOTTOM // holds one field only, the lower
)

// Source reads the packets of one file. It is used by one goroutine at a time;
// only Stop may be called from any other. The caller closes it.
type Source struct {
	watch   *Watch
	closing sync.Mutex // Stop against Close
	file    *C.sl_file
	fc      *astiav.FormatContext
	pkt     *astiav.Packet
	streams []Stream
	chosen  int
	parser  *C.AVCodecParserContext
	parsing *C.AVCodecContext
}

// OpenSource opens a file and finds out what is in it. The error wraps FFmpeg's.
func OpenSource(path string) (*Source, error) { return (*Watch)(nil).OpenSource(path) }

// OpenAgain opens a file of which an earlier source already told what is in it:
// where the header says enough to decode that, nothing more is looked at, which
// halves the time.
func OpenAgain(path string, streams []Stream) (*Source, error) {
	return (*Watch)(nil).OpenAgain(path, streams)
}

// purpose is what a source is opened for.
type purpose int

const (
	whole  purpose = iota
	again          // what is in it is known
	header         // to list packets without their bytes
)

// ISOMedia is FFmpeg's name of MP4 and QuickTime.
const ISOMedia = "mov,mp4,m4a,3gp,3g2,mj2"

// OpenHeader opens a file only to list the packets of its listed streams, where
// the whole list stands in the file's header: the packets then come without their
// bytes, and the list of a long film without reading it. Key pictures are those
// that the header names. It returns nil where the file is of another kind.
// Nothing can be decoded from it.
func OpenHeader(path string) (*Source, error) { return (*Watch)(nil).OpenHeader(path) }

func (w *Watch) openSource(path string, use purpose, known []Stream) (*Source, error) {
	C.av_log_set_level(C.AV_LOG_QUIET) // what matters comes back as an error
	C.sl_share_memory()
	s := &Source{chosen: -1, watch: w, file: C.sl_file_new(w.gate())}
	if s.file == nil {
		return nil, errors.New("out of memory")
	}
	w.add(s)
	if err := s.open(path, use, known); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *Source) open(path string, use purpose, known []Stream) error {
	name := C.CString(path)
	defer C.free(unsafe.Pointer(name))
	if err := failure("open file", C.sl_file_open(s.file, name)); err != nil {
		return err
	}
	if s.pkt = astiav.AllocPacket(); s.pkt == nil {
		return errors.New("out of memory")
	}
	// The name goes along for formats that are told by it; the file itself is
	// already open, and nothing else may be opened on its behalf.
	wanted := map[string]string{"protocol_whitelist": "none"}
	if use == header {
		wanted["fflags"] = "noparse"
	}
	err := s.look(path, use, known, wanted)
	if err == nil && use == whole && s.sizeless() {
		wanted["probesize"], wanted["analyzeduration"] = farBytes, farMicroseconds
		err = s.look(path, use, known, wanted)
	}
	return err
}

// How far a file is looked through where FFmpeg's usual five seconds do not tell
// the size of its pictures: a film that was cut inside a group tells it with the
// next one, and encoders make groups of ten seconds unless told otherwise.
const (
	farBytes        = "67108864"
	farMicroseconds = "60000000"
)

// sizeless reports whether the size of some footage was not found.
func (s *Source) sizeless() bool {
	for _, st := range s.streams {
		if st.Kind == Video && st.Known && !st.Cover && (st.Width <= 0 || st.Height <= 0) {
			return true
		}
	}
	return false
}

// look finds out what is in the file, from its first byte on.
func (s *Source) look(path string, use purpose, known []Stream, wanted map[string]string) error {
	s.closeFormat()
	if err := failure("go to the start", C.sl_file_rewind(s.file)); err != nil {
		return err
	}
	if s.fc = astiav.AllocFormatContext(); s.fc == nil {
		return errors.New("out of memory")
	}
	C.sl_guard(s.format(), s.file)
	options, err := dictionary(wanted)
	if err != nil {
		return err
	}
	defer options.Free()
	if err := s.fc.OpenInput(path, nil, options); err != nil {
		return fmt.Errorf("read header: %w", err)
	}
	if use == again && s.Format() == ISOMedia && s.knows(known) {
		s.streams = known
		return nil
	}
	if use != header {
		if err := s.fc.FindStreamInfo(nil); err != nil {
			return fmt.Errorf("look at streams: %w", err)
		}
	}
	if use == again && s.knows(known) {
		s.streams = known
		return nil
	}
	s.streams = nil
	for i := range s.fc.Streams() {
		s.streams = append(s.streams, s.facts(i))
	}
	return nil
}

// knows reports whether the header tells of the same streams as an earlier source
// did, and has the rest that was found out about them then.
func (s *Source) knows(streams []Stream) bool {
	if len(streams) != len(s.fc.Streams()) {
		return false
	}
	for i, st := range s.fc.Streams() {
		if streams[i].Index != i || streams[i].Codec != st.CodecParameters().CodecID().Name() {
			return false
		}
	}
	for i, st := range streams {
		C.sl_expect_delay(s.format(), C.int(i), C.int(st.Delay))
	}
	return true
}

func (s *Source) format() *C.AVFormatContext { return inner[C.AVFormatContext](s.fc) }

func (s *Source) facts(i int) Stream {
	var c C.sl_stream
	C.sl_stream_facts(s.format(), C.int(i), &c)
	p := s.fc.Streams()[i].CodecParameters()
	st := Stream{
		Index: i, Codec: p.CodecID().Name(), Known: astiav.FindDecoder(p.CodecID()) != nil,
		Cover:   c.disposition&(C.AV_DISPOSITION_ATTACHED_PIC|C.AV_DISPOSITION_TIMED_THUMBNAILS) != 0,
		Default: c.disposition&C.AV_DISPOSITION_DEFAULT != 0,
		Base:    timecode.Base{Num: int64(c.base_num), Den: int64(c.base_den)},
		Width:   int(c.width), Height: int(c.height),
		PixelNum: int(c.sar_num), PixelDen: int(c.sar_den),
		Progressive: c.field_order == C.AV_FIELD_PROGRESSIVE,
		Interlaced:  c.field_order > C.AV_FIELD_PROGRESSIVE,
		Delay:       int(c.delay), FrameNum: int(c.rate_num), FrameDen: int(c.rate_den),
		Start: int64(c.start), Rate: int(c.sample_rate), Channels: int(c.channels),
		Colour: Colour{int(c.matrix), int(c._range), int(c.transfer), int(c.primaries)},
	}
	switch c._type {
	case C.AVMEDIA_TYPE_VIDEO:
		st.Kind = Video
	case C.AVMEDIA_TYPE_AUDIO:
		st.Kind = Sound
	}
	if c.has_matrix != 0 {
		st.Quarter, st.Mirror = rotation([4]int32{int32(c.display[0]), int32(c.display[1]), int32(c.display[3]), int32(c.display[4])})
	}
	st.Fields = c.codec == C.AV_CODEC_ID_H264 && !st.Progressive
	st.Plain = c.codec == C.AV_CODEC_ID_H264 || c.codec == C.AV_CODEC_ID_HEVC
	return st
}

// Streams returns what is in the file.
func (s *Source) Streams() []Stream { return s.streams }

// Note returns an entry of the file's own notes, or "".
func (s *Source) Note(key string) string {
	if m := s.fc.Metadata(); m != nil {
		if e := m.Get(key, nil, 0); e != nil {
			return e.Value()
		}
	}
	return ""
}

// Format is FFmpeg's name of the container.
func (s *Source) Format() string { return s.fc.InputFormat().Name() }

// Choose makes the source read one stream and pass over all others.
func (s *Source) Choose(stream int) {
	s.chosen = stream
	C.sl_keep_only(s.format(), C.int(stream))
}

// Scan fills list with the next packets of the chosen stream and returns how
// many; 0 and ErrEnd after the last.
func (s *Source) Scan(list []Packet) (int, error) {
	if len(list) == 0 {
		return 0, nil
	}
	if s.parser == nil && s.streams[s.chosen].Fields {
		if err := failure("parser", C.sl_field_parser(s.format(), C.int(s.chosen), &s.parser, &s.parsing)); err != nil {
			return 0, err
		}
	}
	raw := make([]C.sl_packet, len(list))
	n := C.sl_scan(s.format(), C.int(s.chosen), s.packet(), s.parser, s.parsing, &raw[0], C.int(len(raw)))
	if n < 0 {
		return 0, failure("read", n)
	}
	for i, r := range raw[:n] {
		list[i] = Packet{int64(r.pts), int64(r.dts), int64(r.pos), int32(r.size), int32(r.duration), Flags(r.flags)}
	}
	if n == 0 {
		return 0, ErrEnd
	}
	return int(n), nil
}

func (s *Source) packet() *C.AVPacket { return inner[C.AVPacket](s.pkt) }

// Next reads the next packet of the chosen stream and keeps its bytes for
// Decoder.Feed until the next call. ErrEnd after the last.
func (s *Source) Next() (Packet, error) {
	for {
		s.pkt.Unref()
		switch err := C.sl_next(s.format(), s.packet()); {
		case err == C.AVERROR_EOF:
			return Packet{}, ErrEnd
		case err < 0:
			return Packet{}, failure("read", err)
		case s.pkt.StreamIndex() != s.chosen:
			continue
		}
		p := Packet{PTS: s.pkt.Pts(), DTS: s.pkt.Dts(), Pos: s.pkt.Pos(), Size: int32(s.pkt.Size()), Duration: int32(s.pkt.Duration())}
		if f := s.pkt.Flags(); f.Has(astiav.PacketFlagKey) {
			p.Flags |= Key
		}
		return p, nil
	}
}

// Lengthen appends n meaningless bytes to the packet that was read last.
func (s *Source) Lengthen(n int) error {
	return failure("lengthen", C.sl_lengthen(s.packet(), C.int(n)))
}

// SeekTime moves to a key picture at or before a time in ticks of the chosen
// stream, as far as the container can tell; what comes next says where it landed.
func (s *Source) SeekTime(ticks int64) error {
	return s.fc.SeekFrame(s.chosen, ticks, astiav.NewSeekFlags(astiav.SeekFlagBackward))
}

// ByteSeekable reports whether the container can be entered at any byte.
func (s *Source) ByteSeekable() bool { return C.sl_byte_seekable(s.format()) != 0 }

// SeekByte moves to a byte of the file.
func (s *Source) SeekByte(pos int64) error {
	return failure("move to byte "+strconv.FormatInt(pos, 10), C.sl_seek_bytes(s.format(), C.int64_t(pos)))
}

// Stop makes the read under way and all later ones fail. Any goroutine may call
// it, at any time.
func (s *Source) Stop() {
	s.closing.Lock()
	defer s.closing.Unlock()
	if s.file != nil {
		C.sl_file_stop(s.file)
	}
}

// Close frees everything; more calls do nothing. A drive that hangs may keep it.
func (s *Source) Close() {
	s.watch.remove(s)
	s.closing.Lock()
	defer s.closing.Unlock()
	C.sl_field_parser_close(&s.parser, &s.parsing)
	s.closeFormat()
	if s.pkt != nil {
		s.pkt.Free()
		s.pkt = nil
	}
	s.watch.During(func() { C.sl_file_close(&s.file) })
}

func (s *Source) closeFormat() {
	if s.fc != nil && s.format() != nil { // FFmpeg frees it itself when opening fails
		s.fc.CloseInput()
	}
	s.fc = nil
}
