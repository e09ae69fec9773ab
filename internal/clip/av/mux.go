package av

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/asticode/go-astiav"

	"strokeledger/internal/timecode"
)

// muxer owns the MP4 file that packets are written to.
type muxer struct {
	fc       *astiav.FormatContext
	io       *astiav.IOContext
	pictures *encoder
	streams  map[*encoder]*astiav.Stream
}

func newMuxer(path string, o FilmOptions, pictures, sound *encoder) (m *muxer, err error) {
	// With its scheme spelled out no name of a file is taken for an address.
	url := "file:" + path
	m = &muxer{pictures: pictures, streams: map[*encoder]*astiav.Stream{}}
	defer func() {
		if err != nil {
			m.free()
			m = nil
		}
	}()
	if m.fc, err = astiav.AllocOutputFormatContext(nil, "mp4", url); err != nil {
		return m, fmt.Errorf("start MP4: %w", err)
	}
	for _, e := range []*encoder{pictures, sound} {
		if e == nil {
			continue
		}
		s := m.fc.NewStream(nil)
		if s == nil {
			return m, errors.New("no memory for a stream")
		}
		if err = s.CodecParameters().FromCodecContext(e.cc); err != nil {
			return m, fmt.Errorf("describe stream: %w", err)
		}
		s.SetTimeBase(e.cc.TimeBase())
		m.streams[e] = s
	}
	m.streams[pictures].SetAvgFrameRate(astiav.NewRational(int(o.Rate.Den), int(o.Rate.Num)))
	if !o.Recorded.IsZero() {
		if err = note(m.fc, "creation_time", o.Recorded.UTC().Format(time.RFC3339)); err != nil {
			return m, err
		}
	}
	if m.io, err = astiav.OpenIOContext(url, astiav.NewIOContextFlags(astiav.IOContextFlagWrite)); err != nil {
		return m, fmt.Errorf("open for writing: %w", err)
	}
	m.fc.SetPb(m.io)
	return m, m.header(TickBase(o.Rate))
}

func (m *muxer) header(base timecode.Base) error {
	d, err := dictionary(map[string]string{
		"movflags":              "+faststart", // the index first: a film that can be shown while it is copied
		"fflags":                "+bitexact",  // no name of the muxer
		"video_track_timescale": strconv.FormatInt(base.Den, 10),
	})
	if err != nil {
		return err
	}
	defer d.Free()
	if err := m.fc.WriteHeader(d); err != nil {
		return fmt.Errorf("write header: %w", err)
	}
	return nil
}

// write moves the encoder's packet into the file.
func (m *muxer) write(e *encoder) error {
	packet := e.packet
	defer packet.Unref()
	if e == m.pictures {
		if packet.Duration() == 0 {
			packet.SetDuration(1)
		}
		if packet.Flags().Has(astiav.PacketFlagKey) {
			plain, err := repack(packet, withoutNotes(packet.Data()))
			if err != nil {
				return err
			}
			defer plain.Free()
			packet = plain
		}
	}
	s := m.streams[e]
	packet.SetStreamIndex(s.Index())
	packet.RescaleTs(e.cc.TimeBase(), s.TimeBase())
	if err := m.fc.WriteInterleavedFrame(packet); err != nil {
		return fmt.Errorf("write packet: %w", err)
	}
	return nil
}

// finish writes the index and closes the file.
func (m *muxer) finish() error {
	if err := m.fc.WriteTrailer(); err != nil {
		return fmt.Errorf("write index: %w", err)
	}
	io := m.io
	m.io = nil
	if err := io.Close(); err != nil {
		return fmt.Errorf("close: %w", err)
	}
	return nil
}

func (m *muxer) free() {
	if m == nil {
		return
	}
	if m.io != nil {
		m.io.Close()
		m.io = nil
	}
	if m.fc != nil {
		m.fc.Free()
		m.fc = nil
	}
}

// repack is a copy of a packet with other bytes; the caller frees it.
func repack(p *astiav.Packet, data []byte) (*astiav.Packet, error) {
	n := astiav.AllocPacket()
	if err := n.FromData(data); err != nil {
		n.Free()
		return nil, fmt.Errorf("repack: %w", err)
	}
	n.SetPts(p.Pts())
	n.SetDts(p.Dts())
	n.SetDuration(p.Duration())
	n.SetFlags(p.Flags())
	return n, nil
}

// withoutNotes drops the units of supplemental information (type 6, ITU-T H.264
// table 7-1) from a picture in byte-stream form (annex B): libx264 writes its
// name and settings there.
func withoutNotes(b []byte) []byte {
	starts := unitStarts(b)
	notes := false
	for _, s := range starts {
		notes = notes || s.kind == 6
	}
	if !notes {
		return b
	}
	var plain []byte
	for i, s := range starts {
		end := len(b)
		if i+1 < len(starts) {
			end = starts[i+1].at
		}
		if s.kind != 6 {
			plain = append(plain, b[s.at:end]...)
		}
	}
	return plain
}

type unitStart struct {
	at   int  // of the first byte of the start code
	kind byte // nal_unit_type
}

func unitStarts(b []byte) (starts []unitStart) {
	for i := 0; i+3 < len(b); i++ {
		if b[i] != 0 || b[i+1] != 0 || b[i+2] != 1 {
			continue
		}
		at := i
		if i > 0 && b[i-1] == 0 {
			at-- // a start code of four bytes
		}
		starts = append(starts, unitStart{at, b[i+3] & 0x1f})
		i += 2
	}
	return starts
}
