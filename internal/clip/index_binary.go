package clip

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// ErrIndex means that bytes are not a kept index of this version: scan again.
var ErrIndex = errors.New("not an index of this version")

// indexForm begins every kept index; the last letter counts versions.
const indexForm = "SLIXd"

// The kept form: indexForm, then signed varints (numbers that grow are told as
// differences), then the CRC-32 of all before it, big-endian.
//
//	base num, den; end; count of packets; then of each: pts, dts, pos, size,
//	duration, flags, frame; count of pictures; then of each: packet, ticks; count
//	of entries; then of each: packet, frame; 1 where complete; 1 where broken off;
//	where the film ends in a file that holds more; length of the facts, then these
//	(see facts)

func encodeIndex(x *Index) []byte {
	b := make([]byte, 0, 64+16*len(x.packets))
	b = append(b, indexForm...)
	put := func(v int64) { b = binary.AppendVarint(b, v) }
	put(x.base.Num)
	put(x.base.Den)
	put(x.end)
	put(int64(len(x.packets)))
	var last av.Packet
	frame := int32(0)
	for i, p := range x.packets {
		// Differences may wrap round where a time is absent; adding wraps back.
		put(p.PTS - last.PTS)
		put(p.DTS - last.DTS)
		put(p.Pos - last.Pos)
		put(int64(p.Size))
		put(int64(p.Duration))
		put(int64(p.Flags))
		put(int64(x.frames[i] - frame))
		last, frame = p, x.frames[i]
	}
	put(int64(len(x.order)))
	packet, tick := int32(0), int64(0)
	for n := range x.order {
		put(int64(x.order[n] - packet))
		put(x.ticks[n] - tick)
		packet, tick = x.order[n], x.ticks[n]
	}
	put(int64(len(x.keys)))
	for _, k := range x.keys {
		put(int64(k.packet))
		put(int64(k.frame))
	}
	complete := int64(0)
	if x.Complete {
		complete = 1
	}
	put(complete)
	broken := int64(0)
	if x.Broken {
		broken = 1
	}
	put(broken)
	put(x.first)
	known := x.facts.encode()
	put(int64(len(known)))
	b = append(b, known...)
	return seal(b)
}

// reader reads varints and remembers the first thing that is wrong.
type reader struct {
	b   []byte
	bad bool
}

func (r *reader) next() int64 {
	v, n := binary.Varint(r.b)
	if n <= 0 {
		r.bad = true
		return 0
	}
	r.b = r.b[n:]
	return v
}

// count reads a length of a list whose items take at least so many bytes, so that
// no false length makes room for what is not there.
func (r *reader) count(least int) int {
	n := r.next()
	if n < 0 || n > int64(len(r.b)/least) {
		r.bad = true
		return 0
	}
	return int(n)
}

// bytes reads so many bytes, no more than count allows.
func (r *reader) bytes(n int) []byte {
	b := r.b[:n]
	r.b = r.b[n:]
	return b
}

// within reads a number that must lie from low to below high.
func (r *reader) within(v, low, high int64) int32 {
	if v < low || v >= high {
		r.bad = true
		return 0
	}
	return int32(v)
}

func decodeIndex(data []byte) (*Index, error) {
	body := len(data) - 4
	if body < len(indexForm) || string(data[:len(indexForm)]) != indexForm {
		return nil, fmt.Errorf("%w: it begins otherwise", ErrIndex)
	}
	if crc32.ChecksumIEEE(data[:body]) != binary.BigEndian.Uint32(data[body:]) {
		return nil, fmt.Errorf("%w: its checksum does not fit", ErrIndex)
	}
	r := &reader{b: data[len(indexForm):body]}
	x := &Index{base: timecode.Base{Num: r.next(), Den: r.next()}, end: r.next()}
	x.packets = make([]av.Packet, r.count(7))
	x.frames = make([]int32, len(x.packets))
	var last av.Packet
	frame := int64(0)
	for i := range x.packets {
		p := av.Packet{PTS: last.PTS + r.next(), DTS: last.DTS + r.next(), Pos: last.Pos + r.next()}
		p.Size, p.Duration, p.Flags = int32(r.next()), int32(r.next()), av.Flags(r.next())
		frame += r.next()
		x.packets[i], x.frames[i] = p, r.within(frame, unknownFrame, int64(len(x.packets)))
		last = p
	}
	packets := int64(len(x.packets))
	x.order = make([]int32, r.count(2))
	x.ticks = make([]int64, len(x.order))
	packet, tick := int64(0), int64(0)
	for n := range x.order {
		packet += r.next()
		tick += r.next()
		x.order[n], x.ticks[n] = r.within(packet, 0, packets), tick
		r.bad = r.bad || n > 0 && tick < x.ticks[n-1]
	}
	pictures := int64(len(x.order))
	for _, f := range x.frames {
		r.bad = r.bad || int64(f) >= pictures
	}
	x.keys = make([]entry, r.count(2))
	for i := range x.keys {
		x.keys[i] = entry{r.within(r.next(), 0, packets), r.within(r.next(), 0, pictures+1)}
		r.bad = r.bad || i > 0 && x.keys[i].packet <= x.keys[i-1].packet
	}
	x.Complete = r.within(r.next(), 0, 2) == 1
	x.Broken = r.within(r.next(), 0, 2) == 1
	x.first = max(0, r.next())
	known := r.bytes(r.count(1))
	if len(known) > 0 && !r.bad {
		x.facts = decodeFacts(known)
		r.bad = x.facts == nil
	}
	if r.bad || len(r.b) > 0 || !x.base.Valid() {
		return nil, fmt.Errorf("%w: its numbers make no sense", ErrIndex)
	}
	return x, nil
}

// seal appends the checksum.
func seal(b []byte) []byte { return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b)) }
