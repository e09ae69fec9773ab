package clip

import (
	"sort"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// Index is the list of a clip's pictures in the order in which they are shown,
// with the time of each. It never changes once made: a growing clip hands out a
// longer one. Safe for concurrent use.
type Index struct {
	Complete bool // the whole file was scanned
	Broken   bool // the film is broken off behind its last picture

	first   int64 // where the film ends in a file that holds more, 0 at its end
	base    timecode.Base
	packets []av.Packet // of the stream, in file order
	order   []int32     // the packet of each picture, in showing order
	ticks   []int64     // the time of each picture, same order, running on over every jump of the file's clock
	end     int64       // when the last picture ends
	frames  []int32     // the picture of each packet: -1 none is shown, -2 not known yet
	keys    []entry     // where decoding can begin, in file order
	facts   *facts      // of the file, nil where nobody looked
}

// entry is a packet at which decoding can begin: pictures from frame on come out
// right, earlier ones may lean on what was before.
type entry struct{ packet, frame int32 }

const (
	noFrame      = -1
	unknownFrame = -2
)

// Len is the number of pictures.
func (x *Index) Len() int { return len(x.order) }

// Base is the length of a tick in seconds.
func (x *Index) Base() timecode.Base { return x.base }

// Ticks is the time of picture n on the file's own clock; n must be in range.
func (x *Index) Ticks(n int) int64 { return x.ticks[n] }

// Seconds is the time of picture n on the clip's clock: 0 at the first picture.
func (x *Index) Seconds(n int) float64 { return x.base.Seconds(x.ticks[n] - x.ticks[0]) }

// FileSeconds is the time of picture n on the file's own clock.
func (x *Index) FileSeconds(n int) float64 { return x.base.Seconds(x.ticks[n]) }

// Times returns the time of every picture on the clip's clock, in a new slice.
func (x *Index) Times() []float64 {
	t := make([]float64, len(x.ticks))
	for n := range t {
		t[n] = x.Seconds(n)
	}
	return t
}

// FrameAt is the picture on screen at a time of the clip's clock: the last that
// does not begin later, the first for earlier times; -1 in an empty index.
func (x *Index) FrameAt(seconds float64) int {
	if len(x.ticks) == 0 {
		return -1
	}
	at := x.ticks[0] + x.base.Ticks(seconds)
	return max(0, sort.Search(len(x.ticks), func(i int) bool { return x.ticks[i] > at })-1)
}

// EndSeconds is when the last picture ends, on the clip's clock.
func (x *Index) EndSeconds() float64 {
	if len(x.ticks) == 0 {
		return 0
	}
	return x.base.Seconds(x.end - x.ticks[0])
}

// frame is the picture made of a packet, noFrame or unknownFrame.
func (x *Index) frame(packet int) int {
	if packet < 0 {
		return noFrame
	}
	if packet >= len(x.frames) {
		if x.Complete {
			return noFrame
		}
		return unknownFrame
	}
	return int(x.frames[packet])
}

// seam reports whether another recording begins with a packet, as where two were
// joined end to end: a key at which the file's clock starts anew. What is decoded
// behind it has nothing to do with what came before.
func (x *Index) seam(packet int) bool {
	if packet < 1 || packet >= len(x.packets) || x.packets[packet].Flags&av.Key == 0 {
		return false
	}
	second := x.base.Ticks(1)
	last, t := x.packets[packet-1].DTS, x.packets[packet].DTS
	if last != av.NoTime && t != av.NoTime && t > last+second && abs(t-last-clockRange) > second {
		return true
	}
	here, ok := x.offset(packet)
	for packet--; ok && packet >= 0; packet-- {
		if before, known := x.offset(packet); known {
			return here != before && abs(abs(here-before)-clockRange) > second
		}
	}
	return false
}

// offset is what was added to the file's clock at a packet that begins a picture.
func (x *Index) offset(packet int) (ticks int64, ok bool) {
	n := x.frame(packet)
	if n < 0 || int(x.order[n]) != packet || x.packets[packet].PTS == av.NoTime {
		return 0, false
	}
	return x.ticks[n] - x.packets[packet].PTS, true
}

// torn reports whether a film that is broken off has only a part of a packet.
func (x *Index) torn(packet int) bool {
	return x.Broken && packet < len(x.packets) && x.frames[packet] < 0 && x.packets[packet].Flags&av.Corrupt != 0
}

// enter returns the place in keys of the last entry from which picture n comes out
// right; -1 where there is none.
func (x *Index) enter(n int) int {
	packet := x.order[n]
	i := sort.Search(len(x.keys), func(i int) bool { return x.keys[i].packet > packet }) - 1
	for i >= 0 && int(x.keys[i].frame) > n {
		i--
	}
	return i
}

// longest is the greatest distance of two entries, or of the last and the end, in
// seconds.
func (x *Index) longest() float64 {
	longest := int64(0)
	last := int64(0)
	for i, k := range x.keys {
		if int(k.frame) >= len(x.ticks) {
			break
		}
		if i > 0 {
			longest = max(longest, x.ticks[k.frame]-last)
		}
		last = x.ticks[k.frame]
	}
	if n := len(x.ticks); n > 0 && len(x.keys) > 0 {
		longest = max(longest, x.end-last)
	}
	return x.base.Seconds(longest)
}

// MarshalBinary is the form that is kept between openings.
func (x *Index) MarshalBinary() ([]byte, error) { return encodeIndex(x), nil }

// UnmarshalBinary reads what MarshalBinary wrote; anything else is an error that
// wraps ErrIndex and leaves the index as it was.
func (x *Index) UnmarshalBinary(data []byte) error {
	y, err := decodeIndex(data)
	if err == nil {
		*x = *y
	}
	return err
}

func abs(t int64) int64 { return max(t, -t) }
