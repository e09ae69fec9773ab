package clip

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"

	"strokeledger/internal/clip/av"
)

// torn is whether the last packet of a stream is whole.
type torn int

const (
	unsure torn = iota
	whole
	broken
)

// lastPacket tells whether a stream's last packet, in file order, is whole, as far
// as its container tells; cut is whether something behind it is missing.
func lastPacket(f io.ReaderAt, size int64, container string, p av.Packet) (state torn, cut bool) {
	switch {
	case container == "mpeg":
		return unsure, programCut(f, size)
	case p.Pos < 0:
		return unsure, false
	}
	switch container {
	case "matroska,webm": // gives whole packets only
		return whole, false
	case av.ISOMedia: // marks one that is not, but the mark is lost where a parser is at work
		if p.Pos+int64(p.Size) >= size {
			return broken, false
		}
		return whole, false
	case "avi":
		if b := bytesAt(f, p.Pos-4, 4); b != nil && p.Pos+int64(binary.LittleEndian.Uint32(b)) > size {
			return broken, true
		}
		return whole, false
	case "flv":
		first, all := tagsEnd(f, size, p.Pos)
		if first > size {
			return broken, true
		}
		return whole, all > size || tagsCut(f, size)
	case "mpegts":
		return transportEnd(f, size, p.Pos)
	case "h264", "hevc":
		return unsure, endsInsideUnit(f, size, container)
	}
	return unsure, false
}

// programCut reports whether a program stream ends inside one of its packets, which
// tell their length (ISO/IEC 13818-1, 2.5.3).
func programCut(f io.ReaderAt, size int64) bool {
	from := max(0, size-1<<17) // packs are 2 kB as a rule (common practice, no source)
	b := bytesAt(f, from, int(size-from))
	at := bytes.LastIndex(b, []byte{0, 0, 1, 0xBA})
	if at < 0 {
		return false
	}
	for b = b[at:]; len(b) > 0; {
		head, length := 6, 0
		switch {
		case len(b) < 4:
			return true
		case b[0]|b[1] != 0 || b[2] != 1 || b[3] == 0xB9:
			return false
		case b[3] != 0xBA:
			if len(b) < head {
				return true
			}
			length = int(binary.BigEndian.Uint16(b[4:]))
		case len(b) < 14:
			return true
		case b[4]>>6 == 1:
			head, length = 14, int(b[13]&7)
		default: // of MPEG-1
			head = 12
		}
		if head+length > len(b) {
			return true
		}
		b = b[head+length:]
	}
	return false
}

// endsInsideUnit reports whether a raw stream ends with the first bytes of a unit
// (ITU-T H.264 and H.265, annex B). One so short may only say that the stream ends
// here.
func endsInsideUnit(f io.ReaderAt, size int64, codec string) bool {
	b := bytesAt(f, size-6, 6)
	at := bytes.LastIndex(b, []byte{0, 0, 1})
	if at < 0 {
		return false
	}
	unit := b[at+3:]
	switch {
	case len(unit) == 0:
		return true
	case codec == "h264":
		return unit[0]&0x1f != 10 && unit[0]&0x1f != 11
	}
	return unit[0]>>1 != 36 && unit[0]>>1 != 37
}

// tagsCut reports whether a Flash video is shorter than its metadata say (the same
// specification, E.5).
func tagsCut(f io.ReaderAt, size int64) bool {
	b := bytesAt(f, 0, int(min(size, 1<<12)))
	_, value, ok := bytes.Cut(b, []byte("\x00\x08filesize\x00"))
	return ok && len(value) >= 8 && math.Float64frombits(binary.BigEndian.Uint64(value)) > float64(size)
}

// tagsEnd is where a tag of a Flash video ends, and where all do from there on
// (Adobe Flash Video File Format Specification 10.1, E.3).
func tagsEnd(f io.ReaderAt, size, pos int64) (first, all int64) {
	for all = pos; pos < size; pos = all + 4 { // the length of the tag follows it
		b := bytesAt(f, pos, 11)
		if b == nil {
			return first, size + 1
		}
		if all = pos + 11 + int64(b[1])<<16 + int64(b[2])<<8 + int64(b[3]); first == 0 {
			first = all
		}
	}
	return first, all
}
