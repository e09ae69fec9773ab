package clip

import "io"

// transportPacket is the length of a transport packet in bytes (ISO/IEC 13818-1,
// 2.4.3.2).
const transportPacket = 188

// layout is how the packets of a transport stream lie in a file.
type layout struct {
	at   int64 // where one begins
	step int64 // bytes from one to the next: alone, behind the time stamp of a player, before the sums of a broadcaster; 0 no transport stream
}

// transportLayout finds the layout near a place of a file.
func transportLayout(f io.ReaderAt, from int64) layout {
	const look = 208
	head := bytesAt(f, from, look+3*204+1)
	for _, step := range []int64{transportPacket, 192, 204} {
		for at := int64(0); head != nil && at < look; at++ {
			if head[at] == 0x47 && head[at+step] == 0x47 && head[at+2*step] == 0x47 && head[at+3*step] == 0x47 {
				return layout{from + at, step}
			}
		}
	}
	return layout{}
}

// otherLayout is where packets of another layout follow, 0 where none do. FFmpeg's
// reader changes over some packets late, at another one each time that it comes by.
func otherLayout(f io.ReaderAt, size int64, l layout) int64 {
	for range 64 { // pieces that are missing, at most: each begins a layout anew
		in := func(k int64) bool {
			b := bytesAt(f, l.at+k*l.step, 1)
			return b == nil || b[0] == 0x47
		}
		row := func(k int64) bool { return in(k) && in(k+1) && in(k+2) && in(k+3) }
		low, high := int64(0), (size-l.at)/l.step-4
		if high < 1 || row(high) {
			return 0
		}
		for high-low > 1 {
			if mid := (low + high) / 2; row(mid) {
				low = mid
			} else {
				high = mid
			}
		}
		for in(high) {
			high++
		}
		end := l.at + (high-1)*l.step + transportPacket
		next := transportLayout(f, end)
		if next.step == 0 {
			return 0
		}
		if next.step != l.step {
			return end
		}
		l = next
	}
	return 0
}

// transportEnd looks at a transport stream from where the last packet begins. A
// packet's last piece is filled up to the length of a transport packet, since the
// next one begins a new one (ISO/IEC 13818-1, 2.4.3.3).
func transportEnd(f io.ReaderAt, size, pos int64) (state torn, cut bool) {
	const length = transportPacket
	step := transportLayout(f, 0).step
	if step == 0 {
		step = length
	}
	if b := bytesAt(f, pos, 5); step == 192 && b != nil && b[0] != 0x47 && b[4] == 0x47 {
		pos += 4 // behind the time stamp of the player
	}
	stream, filled := -1, false
	for ; pos+length <= size; pos += step {
		b := bytesAt(f, pos, length)
		if b == nil || b[0] != 0x47 {
			return unsure, false
		}
		id := int(b[1]&0x1f)<<8 | int(b[2])
		if stream < 0 {
			stream = id
		}
		if id == stream && b[3]&0x10 != 0 {
			filled = b[3]&0x20 != 0 && stuffed(b[4:])
		}
	}
	cut = pos < size
	switch {
	case filled:
		return whole, cut
	case cut:
		return broken, true
	}
	return unsure, false
}

// stuffed reports whether an adaptation field holds more than it needs.
func stuffed(b []byte) bool {
	length := int(b[0])
	if length == 0 {
		return true
	}
	need := 1
	for bit, n := range map[byte]int{0x10: 6, 0x08: 6, 0x04: 1} {
		if b[1]&bit != 0 {
			need += n
		}
	}
	for _, bit := range []byte{0x02, 0x01} { // private data and an extension tell their length
		if b[1]&bit != 0 && 1+need < len(b) {
			need += 1 + int(b[1+need])
		}
	}
	return length > need
}
