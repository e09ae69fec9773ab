package clip

import (
	"errors"
	"fmt"

	"strokeledger/internal/cache"
	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// ErrIndex means that bytes are not a kept index of this version: scan again.
var ErrIndex = errors.New("not an index of this version")

// indexForm is how an index is kept: base num, den; end; count of packets; then of each,
// as differences to the one before where numbers grow: pts, dts, pos, size, duration,
// flags, frame; count of pictures; then of each: packet, ticks; count of entries; then
// of each: packet, frame; 1 where complete; 1 where broken off; where the film ends in a
// file that holds more; 1 and the facts where there are some (see facts).
func indexForm() cache.Form { return cache.Form{Name: "index", Version: 5} }

func encodeIndex(x *Index) []byte {
	w := cache.NewWriter(indexForm(), 64+20*len(x.packets))
	put := w.Int
	put(x.base.Num)
	put(x.base.Den)
	put(x.end)
	w.Uint(uint64(len(x.packets)))
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
	w.Uint(uint64(len(x.order)))
	packet, tick := int32(0), int64(0)
	for n := range x.order {
		put(int64(x.order[n] - packet))
		put(x.ticks[n] - tick)
		packet, tick = x.order[n], x.ticks[n]
	}
	w.Uint(uint64(len(x.keys)))
	for _, k := range x.keys {
		put(int64(k.packet))
		put(int64(k.frame))
	}
	f := cache.Write(w)
	cache.Truth(f, &x.Complete)
	cache.Truth(f, &x.Broken)
	put(x.first)
	known := x.facts != nil
	if cache.Truth(f, &known); known {
		x.facts.fields(f)
	}
	return w.Seal()
}

// within returns a number that was read and must lie from low to below high.
func within(r *cache.Reader, v, low, high int64) int32 {
	if v < low || v >= high {
		r.Fail()
		return 0
	}
	return int32(v)
}

func decodeIndex(data []byte) (*Index, error) {
	r, ok := cache.Open(indexForm(), data)
	if !ok {
		return nil, ErrIndex
	}
	x := &Index{base: timecode.Base{Num: r.Int(), Den: r.Int()}, end: r.Int()}
	x.packets = make([]av.Packet, r.Count(7))
	x.frames = make([]int32, len(x.packets))
	var last av.Packet
	frame := int64(0)
	for i := range x.packets {
		p := av.Packet{PTS: last.PTS + r.Int(), DTS: last.DTS + r.Int(), Pos: last.Pos + r.Int()}
		p.Size, p.Duration, p.Flags = int32(r.Int()), int32(r.Int()), av.Flags(r.Int())
		frame += r.Int()
		x.packets[i], x.frames[i] = p, within(&r, frame, unknownFrame, int64(len(x.packets)))
		last = p
	}
	packets := int64(len(x.packets))
	x.order = make([]int32, r.Count(2))
	x.ticks = make([]int64, len(x.order))
	packet, tick, steady := int64(0), int64(0), true
	for n := range x.order {
		packet += r.Int()
		tick += r.Int()
		x.order[n], x.ticks[n] = within(&r, packet, 0, packets), tick
		steady = steady && (n == 0 || tick >= x.ticks[n-1])
	}
	pictures := int64(len(x.order))
	for _, f := range x.frames {
		steady = steady && int64(f) < pictures
	}
	x.keys = make([]entry, r.Count(2))
	for i := range x.keys {
		x.keys[i] = entry{within(&r, r.Int(), 0, packets), within(&r, r.Int(), 0, pictures+1)}
		steady = steady && (i == 0 || x.keys[i].packet > x.keys[i-1].packet)
	}
	f := cache.Read(&r)
	cache.Truth(f, &x.Complete)
	cache.Truth(f, &x.Broken)
	x.first = max(0, r.Int())
	var known bool
	if cache.Truth(f, &known); known {
		x.facts = new(facts)
		x.facts.fields(f)
		steady = steady && x.facts.plausible()
	}
	if r.Bad() || r.Left() > 0 || !steady || !x.base.Valid() {
		return nil, fmt.Errorf("%w: its numbers make no sense", ErrIndex)
	}
	return x, nil
}
