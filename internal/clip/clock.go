package clip

import (
	"sort"

	"strokeledger/internal/clip/av"
)

// place is where to read for a time of the file's own clock; see [clock].
func (c *Clip) place(seconds float64) (pos int64, ok bool) {
	x := c.Index()
	if x.Len() == 0 || x.jumped(x.Len()-1) == 0 {
		return 0, false
	}
	n := x.FrameAt(seconds - x.FileSeconds(0))
	return max(0, x.pos(int(x.order[n]))), true
}

// behind is how far the file's own clock was set back before a byte; see [clock].
func (c *Clip) behind(pos int64) float64 {
	x := c.Index()
	if x.Len() == 0 || x.jumped(x.Len()-1) == 0 {
		return 0
	}
	i := sort.Search(len(x.packets), func(i int) bool { return x.pos(i) > pos }) - 1
	for ; i >= 0; i-- {
		if n := x.frame(i); n >= 0 {
			return x.base.Seconds(x.jumped(n))
		}
	}
	return 0
}

// jumped is how many ticks the file's clock had been set back before picture n.
func (x *Index) jumped(n int) int64 {
	for ; n >= 0; n-- {
		if t := x.packets[x.order[n]].PTS; t != av.NoTime {
			return x.ticks[n] - t
		}
	}
	return 0
}

// pos is the byte at which a packet stands, or one before it; -1 when unknown.
func (x *Index) pos(packet int) int64 {
	for ; packet >= 0; packet-- {
		if p := x.packets[packet].Pos; p >= 0 {
			return p
		}
	}
	return -1
}
