package clip

import (
	"slices"
	"sort"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// listing gathers packets while a file is scanned.
type listing struct {
	base    timecode.Base
	step    int64 // usual ticks between pictures, by the header; 1 when unsaid
	delay   int   // pictures that come out of the decoder later than they go in
	jumps   bool  // the clock may start anew inside the file
	packets []av.Packet
	ticks   []int64 // of each packet, clock jumps taken out; NoTime where none
	offset  int64   // what is added to the file's clock at present
	last    int64   // latest decoding time seen, offset added
	latest  int64   // latest time of showing
	begun   bool    // last holds
	field   av.Flags
	second  []bool         // packet is the second field of a picture
	hidden  map[int32]bool // pictures that no decoder can make
	shown   []int32        // filled by a decoder where packets do not tell the order; nil else
	untimed bool           // a shown packet has no time of its own
	keyed   bool           // a key packet was seen
	first   int            // the first of them

	container string
	listed    bool // by the file's header, also what stands behind its end
	ends      ending
	cut       bool // the film is broken off
	lost      int  // the first packet that is not whole; -1 none, or not known yet
	most      int  // pictures, at most, that can be shown of it; -1 all
}

// clockRange is after how many ticks an MPEG clock starts anew (ISO/IEC 13818-1:
// 33 bits).
const clockRange = int64(1) << 33

func (l *listing) add(list []av.Packet) {
	for _, p := range list {
		if !l.keyed {
			l.first, l.keyed = len(l.packets), p.Flags&av.Key != 0
		}
		if !l.keyed {
			p.Flags |= av.Hidden // what comes before the first key picture leans on nothing
		}
		if p.PTS == av.NoTime && p.Flags&av.Hidden == 0 {
			l.untimed = true
		}
		if p.Flags&av.Corrupt != 0 && l.lost < 0 && l.container == av.ISOMedia {
			l.lost = len(l.packets) // those behind the file's end follow, as the header lists them
		}
		l.unwrap(p)
		field := p.Flags & (av.Top | av.Bottom)
		second := field != 0 && l.field != 0 && field != l.field
		l.field = field
		if second {
			l.field = 0
		}
		t := p.PTS
		if t != av.NoTime {
			t += l.offset
		}
		if l.latest < t && t != av.NoTime {
			l.latest = t
		}
		l.packets = append(l.packets, p)
		l.ticks = append(l.ticks, t)
		l.second = append(l.second, second)
	}
}

// unwrap sees to it that time runs on where the file's clock wraps round or
// starts anew.
func (l *listing) unwrap(p av.Packet) {
	t := p.DTS
	if t == av.NoTime {
		t = p.PTS
	}
	if t == av.NoTime {
		return
	}
	t += l.offset
	back := l.base.Ticks(1) // less is untidiness, but for a key that is shown before what came before it
	if p.Flags&av.Key != 0 && p.PTS != av.NoTime && p.PTS+l.offset < l.latest {
		back = 2 * max(l.step, 1)
	}
	if l.begun && l.jumps && t < l.last-back {
		shift := l.last + max(l.step, 1) - t
		if shift > clockRange/2 {
			shift = clockRange
		}
		l.offset += shift
		t += shift
	} else if l.begun && l.jumps && t-l.last > clockRange/2 {
		// FFmpeg takes a clock that was set back for one that has wrapped round.
		shift := l.last + max(l.step, 1) - t
		l.offset += shift
		t += shift
	}
	if !l.begun || t > l.last {
		l.last = t
	}
	l.begun = true
}

// reordering is how many packets must follow before the place of a picture is
// sure: no codec shows a picture more than 16 pictures after decoding it, each of
// two fields (ITU-T H.264 A.3.1 and H.265 A.4.2 limit the picture buffer to 16).
const reordering = 32

// index makes an Index of what was seen so far.
func (l *listing) index(complete bool) *Index {
	x := &Index{Complete: complete, Broken: complete && l.cut, first: l.ends.first, base: l.base, packets: slices.Clip(l.packets)}
	times := func(packet int32) int64 { return l.ticks[packet] }
	if l.shown != nil {
		x.order = slices.Clone(l.shown)
		switch {
		case !complete:
			x.order = x.order[:max(0, len(x.order)-reordering)]
		case l.cut:
			x.order = l.certain(x.order)
		}
		x.ticks = l.fill(x.order)
	} else {
		for i := range l.packets {
			if l.packets[i].Flags&av.Hidden == 0 && !l.second[i] && !l.hidden[int32(i)] {
				x.order = append(x.order, int32(i))
			}
		}
		slices.SortStableFunc(x.order, func(a, b int32) int {
			switch ta, tb := times(a), times(b); {
			case ta < tb:
				return -1
			case ta > tb:
				return 1
			}
			return 0
		})
		switch {
		case !complete:
			x.order = x.order[:max(0, len(x.order)-reordering)]
		case l.cut:
			x.order = l.withoutTorn(x.order)
		}
		x.ticks = make([]int64, len(x.order))
		for n, packet := range x.order {
			x.ticks[n] = times(packet)
		}
	}
	l.finish(x)
	return x
}

// fill gives a time to every picture of an order that a decoder found: its own
// where it has one, else between its neighbours. Where no picture has one, the
// decoding times count, as many pictures late as the decoder holds back.
func (l *listing) fill(order []int32) []int64 {
	ticks := make([]int64, len(order))
	step := max(l.step, 1)
	some := false
	for n, packet := range order {
		ticks[n] = l.ticks[packet]
		some = some || ticks[n] != av.NoTime
	}
	if !some {
		for n := range ticks {
			if at := n + l.delay; at < len(l.packets) && l.packets[at].DTS != av.NoTime {
				ticks[n] = l.packets[at].DTS
			}
		}
	}
	for n, t := range ticks {
		if t == av.NoTime {
			if n == 0 {
				ticks[n] = firstBefore(ticks, step)
			} else {
				ticks[n] = between(ticks, n, step)
			}
		}
	}
	return ticks
}

// firstBefore is the time of the first picture, counted back from the first that
// has one; 0 when none has.
func firstBefore(ticks []int64, step int64) int64 {
	for n, t := range ticks {
		if t != av.NoTime {
			return t - int64(n)*step
		}
	}
	return 0
}

// between is the time of picture n, whose forerunner has one.
func between(ticks []int64, n int, step int64) int64 {
	for later := n + 1; later < len(ticks); later++ {
		if t := ticks[later]; t != av.NoTime && t > ticks[n-1] {
			return ticks[n-1] + (t-ticks[n-1])/int64(later-n+1)
		}
	}
	return ticks[n-1] + step
}

// finish works out what follows from order and ticks.
func (l *listing) finish(x *Index) {
	x.frames = make([]int32, len(x.packets))
	rest := int32(noFrame)
	if !x.Complete {
		rest = unknownFrame
	}
	for i, p := range x.packets {
		x.frames[i] = rest
		if p.Flags&av.Hidden != 0 {
			x.frames[i] = noFrame
		}
	}
	for n, packet := range x.order {
		x.frames[packet] = int32(n)
		if at := int(packet) + 1; at < len(x.frames) && l.second[at] {
			x.frames[at] = int32(n)
		}
	}
	for i, p := range x.packets {
		if p.Flags&av.Key == 0 || l.second[i] {
			continue
		}
		frame := x.frames[i]
		if frame < 0 {
			t := l.ticks[i]
			if t == av.NoTime || p.Flags&av.Hidden == 0 && !x.Complete {
				continue
			}
			frame = int32(sort.Search(len(x.ticks), func(n int) bool { return x.ticks[n] >= t }))
		}
		x.keys = append(x.keys, entry{int32(i), frame})
	}
	if len(x.keys) == 0 && len(x.order) > 0 {
		x.keys = []entry{{}} // the file names none: its start is one
	}
	if n := len(x.ticks); n > 0 {
		last := x.ticks[n-1]
		length := int64(l.packets[x.order[n-1]].Duration)
		if next := int(x.order[n-1]) + 1; next < len(l.second) && l.second[next] {
			length += int64(l.packets[next].Duration)
		}
		if length <= 0 && n > 1 {
			length = (last - x.ticks[0]) / int64(n-1)
		}
		x.end = last + max(length, l.step, 1)
		if length > 0 {
			x.end = last + length
		}
	}
}
