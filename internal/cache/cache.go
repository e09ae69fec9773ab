// Package cache has the one form in which a library keeps what can be worked out anew:
// the name and the version of what it is, numbers and texts one after another, and a
// checksum. Bytes of another name or version, and those that have suffered, are not
// read, so that whoever asks makes them anew; a change of what is written needs a new
// version and nothing else.
//
// Numbers are those of encoding/binary: varints, and eight bytes for one with decimals.
package cache

import (
	"encoding/binary"
	"hash/crc32"
	"math"
)

// Form names what is cached, and counts how it is written.
type Form struct {
	Name    string
	Version int
}

// sum is the length of the checksum, the CRC-32 of IEEE 802.3, at the end.
const sum = 4

// Writer writes what is to be cached. Its zero value is of no use.
type Writer struct{ b []byte }

// NewWriter begins what is to be cached, of about so many bytes.
func NewWriter(f Form, size int) *Writer {
	w := &Writer{make([]byte, 0, size+len(f.Name)+16)}
	w.b = append(w.b, f.head()...)
	return w
}

// head begins all that is cached in a form.
func (f Form) head() string {
	return string(binary.AppendUvarint(append([]byte(f.Name), 0), uint64(f.Version)))
}

// Uint writes a number that is not negative; the smaller, the shorter.
func (w *Writer) Uint(v uint64) { w.b = binary.AppendUvarint(w.b, v) }

// Int writes a whole number; the nearer to 0, the shorter.
func (w *Writer) Int(v int64) { w.b = binary.AppendVarint(w.b, v) }

// Float writes a number as it is, eight bytes long.
func (w *Writer) Float(v float64) { w.b = binary.LittleEndian.AppendUint64(w.b, math.Float64bits(v)) }

// Byte writes one byte.
func (w *Writer) Byte(v byte) { w.b = append(w.b, v) }

// Raw writes bytes whose number the reader knows.
func (w *Writer) Raw(v []byte) { w.b = append(w.b, v...) }

// Text writes a text, or any bytes, after their number.
func (w *Writer) Text(v string) {
	w.Uint(uint64(len(v)))
	w.b = append(w.b, v...)
}

// Seal ends the writing and returns what is to be cached.
func (w *Writer) Seal() []byte {
	return binary.LittleEndian.AppendUint32(w.b, crc32.ChecksumIEEE(w.b))
}

// Reader reads what a Writer has written, in the same order. It remembers when anything
// was wrong and gives noughts from then on. Its zero value has nothing to read.
type Reader struct {
	b   []byte
	at  int // of the next byte: to move a slice costs more
	bad bool
}

// Open begins to read what is cached, and reports whether it is of this form and whole.
func Open(f Form, data []byte) (Reader, bool) {
	body := len(data) - sum
	head := f.head()
	if body < len(head) || string(data[:len(head)]) != head || crc32.ChecksumIEEE(data[:body]) != binary.LittleEndian.Uint32(data[body:]) {
		return Reader{}, false
	}
	return Reader{b: data[len(head):body]}, true
}

// Fail says that what was read makes no sense.
func (r *Reader) Fail() { r.at, r.bad = len(r.b), true }

// Bad reports whether anything was wrong so far.
func (r *Reader) Bad() bool { return r.bad }

// Left is how many bytes are not read yet.
func (r *Reader) Left() int { return len(r.b) - r.at }

// Uint reads a number that is not negative.
func (r *Reader) Uint() uint64 {
	v, n := binary.Uvarint(r.b[r.at:])
	if n <= 0 {
		r.Fail()
		return 0
	}
	r.at += n
	return v
}

// Int reads a whole number.
func (r *Reader) Int() int64 {
	v := r.Uint()
	return int64(v>>1) ^ -int64(v&1)
}

// Natural reads a number from 0 to the largest of 32 bits.
func (r *Reader) Natural() int {
	v := r.Uint()
	if v > math.MaxInt32 {
		r.Fail()
		return 0
	}
	return int(v)
}

// Count reads the length of a list whose items take at least so many bytes each, so
// that no false length makes room for what is not there.
func (r *Reader) Count(least int) int {
	v := r.Uint()
	if v > uint64(r.Left()/least) {
		r.Fail()
		return 0
	}
	return int(v)
}

// Float reads a number that Float has written.
func (r *Reader) Float() float64 {
	b := r.Raw(8)
	if b == nil {
		return 0
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(b))
}

// Byte reads one byte.
func (r *Reader) Byte() byte {
	if r.at >= len(r.b) {
		r.Fail()
		return 0
	}
	r.at++
	return r.b[r.at-1]
}

// Raw reads so many bytes, which share the memory of what is read; nil where there
// are not so many.
func (r *Reader) Raw(n int) []byte {
	if n < 0 || n > r.Left() {
		r.Fail()
		return nil
	}
	v := r.b[r.at : r.at+n : r.at+n]
	r.at += n
	return v
}

// Text reads what Text has written.
func (r *Reader) Text() string { return string(r.Raw(r.Count(1))) }
