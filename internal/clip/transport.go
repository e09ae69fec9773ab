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

// transportBehind is where a transport stream begins that was joined to a raw
// stream, 0 where none does.
func transportBehind(f io.ReaderAt, size int64) int64 {
	l := transportLayout(f, max(0, size-16*204))
	if l.step == 0 {
		return 0
	}
	in := func(back int64) bool {
		b := bytesAt(f, l.at-back*l.step, 1)
		return b != nil && b[0] == 0x47
	}
	row := func(back int64) bool { return in(back) && in(back-1) && in(back-2) && in(back-3) }
	low, high := int64(0), l.at/l.step+1 // one of them is in the file's first bytes, which are none
	for high-low > 1 {
		if mid := (low + high) / 2; row(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return l.at - low*l.step
}

// contents are the kinds of stream that a transport stream's map names, by the
// packets' number (ISO/IEC 13818-1, 2.4.4.8).
type contents map[int]byte

// unlike reports whether the same packets carry something else.
func (c contents) unlike(d contents) bool {
	for id, kind := range c {
		if other, both := d[id]; both && other != kind {
			return true
		}
	}
	return false
}

// mapAfter reads the first map of contents behind a packet, and where the table
// that names it stands; nil where there is none near.
func mapAfter(f io.ReaderAt, size int64, l layout, k int64) (c contents, at int64) {
	const near = 1 << 20 // bytes: tables come ten times a second (common practice, no source)
	from := l.at + k*l.step
	b := bytesAt(f, from, int(max(0, min(near, size-from))))
	maps := map[int]bool{}
	for pos := 0; pos+transportPacket <= len(b); pos += int(l.step) {
		id, section := table(b[pos : pos+transportPacket])
		switch {
		case id == 0 && len(section) > 8 && section[0] == 0:
			clear(maps)
			at = from + int64(pos)
			for rest := section[8:]; len(rest) >= 8; rest = rest[4:] { // the last four bytes are a sum
				if rest[0]|rest[1] != 0 {
					maps[int(rest[2]&0x1f)<<8|int(rest[3])] = true
				}
			}
		case maps[id] && len(section) > 12 && section[0] == 2:
			c = contents{}
			skip := func(b []byte, n int) []byte { return b[min(len(b), n):] }
			for rest := skip(section, 12+int(section[10]&0xf)<<8+int(section[11])); len(rest) >= 9; {
				c[int(rest[1]&0x1f)<<8|int(rest[2])] = rest[0]
				rest = skip(rest, 5+int(rest[3]&0xf)<<8+int(rest[4]))
			}
			return c, at
		}
	}
	return nil, 0
}

// table is the section of a table that begins in a packet, as far as it lies in it
// (ISO/IEC 13818-1, 2.4.4); nil where none does.
func table(b []byte) (id int, section []byte) {
	start := 4
	if b[3]&0x20 != 0 {
		start += 1 + int(b[4])
	}
	if b[0] != 0x47 || b[1]&0x40 == 0 || b[3]&0x10 == 0 || start >= len(b) {
		return -1, nil
	}
	if start += 1 + int(b[start]); start+3 > len(b) {
		return -1, nil
	}
	length := 3 + int(b[start+1]&0xf)<<8 + int(b[start+2])
	return int(b[1]&0x1f)<<8 | int(b[2]), b[start:min(len(b), start+length)]
}

// otherContents is where the table stands from which on the same packets carry
// other kinds of stream, 0 where none does: FFmpeg's reader goes on taking them for
// the first. It goes by the file's two ends, so it does not see a piece of another
// kind between two of one.
func otherContents(f io.ReaderAt, size int64, l layout) int64 {
	first, _ := mapAfter(f, size, l, 0)
	unlike := func(k int64) bool {
		c, _ := mapAfter(f, size, l, k)
		return first.unlike(c)
	}
	low, high := int64(0), int64(0)
	for back := int64(64); ; back *= 2 { // to the last map
		if high = max(0, (size-l.at)/l.step-back); high == 0 {
			break
		}
		if c, _ := mapAfter(f, size, l, high); c != nil || back > 1<<14 {
			break
		}
	}
	if !unlike(high) {
		return 0
	}
	for high-low > 1 {
		if mid := (low + high) / 2; unlike(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	_, at := mapAfter(f, size, l, high)
	return at
}
