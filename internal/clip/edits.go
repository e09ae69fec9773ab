package clip

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// edits is what the edit list of an MP4 or QuickTime film asks of who plays it
// (ISO/IEC 14496-12, 8.6.6).
type edits struct {
	Stretches int  // of the film's pictures that are shown one after the other
	Rates     bool // some of them at another speed, or held
}

// odd is the notice about an edit list that players interpret differently; "" where
// all agree: one stretch, perhaps beginning late.
func (e edits) odd() string {
	switch {
	case e.Rates:
		return "The film's edit list asks for another speed: it plays here as FFmpeg reads it, at the speed of its pictures. Another program may show or number its pictures otherwise."
	case e.Stretches > 1:
		return fmt.Sprintf("The film's edit list puts %d stretches together: they play here as FFmpeg reads them. Another program may show or number its pictures otherwise.", e.Stretches)
	}
	return ""
}

// editsOf reads the list of a file's track, counted from 0 in the order in which
// its header has them; the zero value where there is none.
func editsOf(f io.ReaderAt, size int64, track int) (e edits) {
	film, ok := box(f, span{0, size}, "moov", 0)
	if !ok {
		return e
	}
	trak, ok := box(f, film, "trak", track)
	if !ok {
		return e
	}
	edts, ok := box(f, trak, "edts", 0)
	if !ok {
		return e
	}
	list, ok := box(f, edts, "elst", 0)
	const longest = 1 << 20 // bytes: more than any camera or cutter writes
	if !ok || list.to-list.from < 8 || list.to-list.from > longest {
		return e
	}
	b := bytesAt(f, list.from, int(list.to-list.from))
	if b == nil {
		return e
	}
	length := 12 // of an entry: how long, from where, how fast
	if b[0] == 1 {
		length = 20
	}
	for n, rest := binary.BigEndian.Uint32(b[4:]), b[8:]; n > 0 && len(rest) >= length; n, rest = n-1, rest[length:] {
		from := int64(int32(binary.BigEndian.Uint32(rest[4:])))
		if length == 20 {
			from = int64(binary.BigEndian.Uint64(rest[8:]))
		}
		if from == -1 {
			continue // nothing is shown
		}
		e.Stretches++
		e.Rates = e.Rates || binary.BigEndian.Uint32(rest[length-4:]) != 1<<16
	}
	return e
}

// span is a stretch of a file's bytes.
type span struct{ from, to int64 }

// box is the content of the nth box of a name within another.
func box(f io.ReaderAt, in span, name string, n int) (span, bool) {
	for in.from+8 <= in.to {
		b := bytesAt(f, in.from, 8)
		if b == nil {
			return span{}, false
		}
		head, length := int64(8), int64(binary.BigEndian.Uint32(b))
		switch length {
		case 0:
			length = in.to - in.from
		case 1:
			long := bytesAt(f, in.from+8, 8)
			if long == nil {
				return span{}, false
			}
			head, length = 16, int64(binary.BigEndian.Uint64(long)&math.MaxInt64)
		}
		if length < head || length > in.to-in.from {
			return span{}, false
		}
		if string(b[4:]) == name {
			if n == 0 {
				return span{in.from + head, in.from + length}, true
			}
			n--
		}
		in.from += length
	}
	return span{}, false
}
