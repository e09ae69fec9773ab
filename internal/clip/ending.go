package clip

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"strings"
)

// ending is how a file ends, as far as its container tells.
type ending struct {
	first int64 // where the first of several films in it ends, 0 where there is one
	cut   bool  // the film goes on behind the end
}

// endOf looks at a file of so many bytes; a format that it does not know counts as
// complete. The quick way, where deep is false, finds only where the first of
// several films ends that was finished.
func endOf(f io.ReaderAt, size int64, deep bool) ending {
	head := bytesAt(f, 0, 12)
	switch {
	case head == nil:
		return ending{}
	case string(head[:4]) == "\x1A\x45\xDF\xA3":
		return matroskaEnd(f, size, deep)
	}
	if l := transportLayout(f, 0); l.step > 0 {
		end := otherLayout(f, size, l)
		if end == 0 && deep {
			end = otherContents(f, size, l)
		}
		return ending{first: end}
	}
	if string(head[:3]) == "\x00\x00\x01" || string(head[:4]) == "\x00\x00\x00\x01" {
		return ending{first: transportBehind(f, size)}
	}
	if !deep {
		return ending{}
	}
	switch string(head[:4]) {
	case "RIFF":
		return ending{cut: riffEnd(f, size) > size}
	case "OggS":
		end := oggNext(f, size)
		return ending{first: end, cut: end == 0 && oggCut(f, size)}
	case "\x30\x26\xB2\x75":
		return ending{cut: asfCut(f, size)}
	}
	switch string(head[4:8]) {
	case "ftyp", "moov", "mdat", "wide", "skip", "free":
		return boxesEnd(f, size)
	}
	return ending{}
}

// bytesAt reads n bytes at a place; nil where there are fewer.
func bytesAt(f io.ReaderAt, at int64, n int) []byte {
	b := make([]byte, n)
	if got, _ := f.ReadAt(b, at); got < n {
		return nil
	}
	return b
}

// boxesEnd goes along the boxes of an MP4 or QuickTime file (ISO/IEC 14496-12, 4.2).
// A film has one header: where a second file type stands behind it, another film
// begins.
func boxesEnd(f io.ReaderAt, size int64) ending {
	header := false
	for pos := int64(0); pos < size; {
		b := bytesAt(f, pos, 8)
		if b == nil {
			return ending{cut: true} // inside the head of a box
		}
		length := int64(binary.BigEndian.Uint32(b))
		switch string(b[4:]) {
		case "moov":
			header = true
		case "ftyp":
			if header {
				return ending{first: pos}
			}
		}
		switch length {
		case 0: // to the end of the file
			return ending{}
		case 1:
			if b = bytesAt(f, pos+8, 8); b == nil {
				return ending{cut: true}
			}
			length = int64(binary.BigEndian.Uint64(b) & math.MaxInt64)
		}
		if length < 8 || length > math.MaxInt64-pos {
			return ending{} // not a box: nobody knows
		}
		if pos += length; pos > size {
			return ending{cut: true}
		}
	}
	return ending{}
}

// riffEnd is where the last part of an AVI file ends by its own length; long files
// have several (OpenDML AVI file format extensions, 1996). Recorders leave the
// length at 0 until they finish.
func riffEnd(f io.ReaderAt, size int64) int64 {
	pos := int64(0)
	for pos < size {
		b := bytesAt(f, pos, 8)
		if b == nil || string(b[:4]) != "RIFF" {
			return max(pos, 0) // padding, or what others have put behind it
		}
		length := int64(binary.LittleEndian.Uint32(b[4:]))
		if length == 0 {
			return size + 1
		}
		pos += 8 + length + length&1
	}
	if pos == size+1 { // the last byte of padding is left out by some
		pos = size
	}
	return pos
}

// oggCut reports whether an Ogg file ends inside a page, or with one that is not its
// stream's last (RFC 3533, section 6).
func oggCut(f io.ReaderAt, size int64) bool {
	const longest = 27 + 255 + 255*255 // bytes of a page
	from := max(0, size-longest)
	b := bytesAt(f, from, int(size-from))
	at := bytes.LastIndex(b, []byte("OggS"))
	if at < 0 || len(b) < at+27 || len(b) < at+27+int(b[at+26]) {
		return true
	}
	end := at + 27 + int(b[at+26])
	for _, n := range b[at+27 : end] {
		end += int(n)
	}
	return end > len(b) || b[at+5]&4 == 0
}

// oggNext is where another film is chained to an Ogg file's first: a stream that
// begins behind pages that begin none (RFC 3533, section 4); 0 where none is.
func oggNext(f io.ReaderAt, size int64) int64 {
	begun := false
	for pos := int64(0); pos < size; {
		b := bytesAt(f, pos, int(min(27+255, size-pos)))
		if len(b) < 27 || string(b[:4]) != "OggS" || len(b) < 27+int(b[26]) {
			return 0
		}
		if b[5]&2 == 0 {
			begun = true
		} else if begun {
			return pos
		}
		pos += 27 + int64(b[26])
		for _, n := range b[27 : 27+int(b[26])] {
			pos += int64(n)
		}
	}
	return 0
}

// asfCut reports whether a Windows Media file is shorter than its header says; 0 is
// said while it is recorded (Advanced Systems Format specification, 3.2).
func asfCut(f io.ReaderAt, size int64) bool {
	b := bytesAt(f, 0, int(min(size, 1<<16)))
	at := bytes.Index(b, []byte{0xA1, 0xDC, 0xAB, 0x8C, 0x47, 0xA9, 0xCF, 0x11, 0x8E, 0xE4, 0, 0xC0, 0x0C, 0x20, 0x53, 0x65})
	return at >= 0 && len(b) >= at+48 && int64(binary.LittleEndian.Uint64(b[at+40:])) > size
}

// Elements of Matroska at the upper two levels (RFC 9559, section 5; RFC 8794).
const (
	ebmlHead    = 0x1A45DFA3
	segment     = 0x18538067
	cluster     = 0x1F43B675
	simpleBlock = 0xA3
)

// element is the head of one: its name, where its content begins, and how long that
// is, -1 where it does not say.
type element struct {
	id       uint32
	at, size int64
}

func (e element) end() int64 { return e.at + e.size }

// elementAt reads the head of an element; false where there is none.
func elementAt(f io.ReaderAt, pos int64) (e element, ok bool) {
	var b [12]byte
	n, _ := f.ReadAt(b[:], pos)
	id, k := vint(b[:n], 4, true)
	size, m := vint(b[k:n], 8, false)
	if k == 0 || m == 0 {
		return e, false
	}
	e = element{uint32(id), pos + int64(k+m), size}
	if size == 1<<(7*m)-1 {
		e.size = -1
	}
	return e, true
}

// vint reads a number of variable length (RFC 8794, section 4) and returns how many
// bytes it takes, 0 where there is none; marked keeps the bits that tell the length.
func vint(b []byte, most int, marked bool) (v int64, n int) {
	if len(b) == 0 || b[0] == 0 {
		return 0, 0
	}
	for n = 1; b[0]>>(8-n) == 0; n++ {
	}
	if n > most || n > len(b) {
		return 0, 0
	}
	v = int64(b[0])
	if !marked {
		v &= 1<<(8-n) - 1
	}
	for _, c := range b[1:n] {
		v = v<<8 | int64(c)
	}
	return v, n
}

// matroskaEnd goes from one element to the next by their lengths; where deep is
// false, over the first two only: that is quick, and tells where a film ends that
// was finished.
func matroskaEnd(f io.ReaderAt, size int64, deep bool) ending {
	head, ok := elementAt(f, 0)
	if !ok || head.id != ebmlHead || head.size < 0 {
		return ending{}
	}
	all, ok := elementAt(f, head.end())
	if !ok || all.id != segment {
		return ending{cut: !ok}
	}
	if all.size >= 0 && all.end() <= size {
		if all.end() < size {
			return ending{first: all.end()}
		}
		return ending{}
	}
	if !deep {
		return ending{}
	}
	last := element{at: all.at}
	for pos := all.at; pos < size; {
		e, ok := elementAt(f, pos)
		switch {
		case ok && e.id == ebmlHead:
			return ending{first: pos, cut: all.size >= 0}
		case !ok && size-pos < 12:
			return ending{cut: true} // inside the head of an element
		case !ok || !known(e.id):
			// The last one was cut off, and something else was put behind it.
			return ending{first: another(f, last.at, pos), cut: true}
		case e.size < 0:
			pos = e.at // its content says how long it is
			continue
		case e.end() > size:
			return ending{first: another(f, e.at, size), cut: true}
		}
		last, pos = e, e.end()
	}
	return ending{cut: all.size >= 0}
}

// known reports whether an element may stand at one of the upper levels: all of the
// first have names of four bytes, those inside a cluster are listed (RFC 9559, 5.1).
func known(id uint32) bool {
	switch id {
	case 0xE7, 0x5854, 0xA7, 0xAB, simpleBlock, 0xA0, 0xAF, 0xEC, 0xBF:
		return true
	}
	return id >= 1<<28
}

// another is where the head of another Matroska file stands between two places, 0
// where none does.
func another(f io.ReaderAt, from, to int64) int64 {
	const overlap = 64
	for at := from; at < to; at += 1<<20 - overlap {
		b := make([]byte, min(1<<20, to-at))
		n, _ := f.ReadAt(b, at)
		for i := 0; ; i++ {
			k := bytes.Index(b[i:n], []byte{0x1A, 0x45, 0xDF, 0xA3})
			if k < 0 {
				break
			}
			i += k
			near := string(b[i:min(n, i+overlap)])
			if strings.Contains(near, "matroska") || strings.Contains(near, "webm") {
				return at + int64(i)
			}
		}
	}
	return 0
}
