package clip

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/clip/av"
)

// cursor is one place in a clip at which pictures are decoded. One goroutine owns
// it.
type cursor struct {
	src   *av.Source
	dec   *av.Decoder
	index func(ctx context.Context, packet int) (*Index, error) // an index that knows the packet

	next    int  // the packet that is read next
	pending bool // it was read already
	ended   bool // the stream's end was fed
	at      int  // the next picture that comes out, as far as known
	floor   int  // earlier pictures lean on what was not decoded
	late    int  // a picture that is welcome after later ones
	entered int  // the place in keys of the move that has not shown a picture yet, 0 none
	seam    bool // all that the decoder holds is taken before the packet that was read is fed
	fed     bool // since the last move or seam
	longer  int  // a packet that is fed with more bytes behind it, -1 none

	again  func() (*av.Source, error) // opens the file once more
	ctx    context.Context            // that stops it, may be nil
	unhook func() bool                // from ctx
}

func newCursor(src *av.Source, threads int, index func(context.Context, int) (*Index, error), again func() (*av.Source, error)) (*cursor, error) {
	dec, err := av.NewDecoder(src, threads)
	if err != nil {
		return nil, err
	}
	return &cursor{src: src, dec: dec, index: index, again: again, at: -1, late: -1, longer: -1}, nil
}

// stopWith makes reads fail once the context is done.
func (c *cursor) stopWith(ctx context.Context) {
	c.ctx, c.unhook = ctx, context.AfterFunc(ctx, c.src.Stop)
}

// restart reads the file from its start, in a source that was never moved.
func (c *cursor) restart() error {
	src, err := c.again()
	if err != nil {
		return err
	}
	if c.unhook != nil {
		c.unhook()
	}
	c.src.Close()
	c.src = src
	if c.ctx != nil {
		c.stopWith(c.ctx)
	}
	return nil
}

func (c *cursor) close() {
	if c.unhook != nil {
		c.unhook()
	}
	c.dec.Close()
	c.src.Close()
}

// entering is what a move to a key picture costs, in pictures decoded.
const entering = 12

// ahead reports whether picture n comes out by decoding on at less cost than by
// entering anew.
func (c *cursor) ahead(x *Index, n int) bool {
	if c.at < 0 || n < c.at {
		return false
	}
	place := x.enter(n)
	return place < 0 || n-c.at <= n-int(x.keys[place].frame)+entering
}

// step decodes the next picture in showing order that can be trusted, which the
// caller closes, and returns its number. Pictures before target may be passed
// over. av.ErrEnd after the last.
func (c *cursor) step(ctx context.Context, target int) (int, *av.Picture, error) {
	for {
		p, err := c.dec.Receive()
		switch {
		case err == nil:
			n, err := c.number(ctx, int(p.Number()))
			if err != nil || n < c.floor || n < c.at && n != c.late {
				p.Close()
				if err != nil {
					return 0, nil, err
				}
				continue
			}
			if c.entered > 0 && n > c.floor {
				p.Close()
				if err := c.earlier(ctx, n, n <= target); err != nil {
					return 0, nil, err
				}
				continue
			}
			c.entered = 0
			c.at = max(c.at, n+1)
			return n, p, nil
		case errors.Is(err, av.ErrEnd):
			if c.entered > 0 {
				if err := c.earlier(ctx, c.floor, false); err != nil {
					return 0, nil, err
				}
				continue
			}
			if !c.seam {
				return 0, nil, err
			}
			c.dec.Flush()
			c.seam, c.fed = false, false
		case !errors.Is(err, av.ErrAgain):
			continue // a damaged packet; others may have gone in before it
		}
		if err := c.feed(ctx, target); err != nil {
			return 0, nil, err
		}
	}
}

// earlier enters one place before the one that was entered, of which picture n came
// out first and the key's own did not: the pictures build themselves up from that
// key on, in strips (ITU-T H.264 D.2.8, recovery point), and what a decoder makes
// of the first strips without their forerunners is not exact. Where that is enough,
// picture n is right with one such round before it.
func (c *cursor) earlier(ctx context.Context, n int, enough bool) error {
	place := c.entered - 1
	x, err := c.index(ctx, c.next)
	if err == nil {
		err = c.enter(ctx, x, place)
	}
	if err == nil && enough {
		c.entered, c.floor, c.at = 0, n, n
	}
	return err
}

// number is the picture of a packet.
func (c *cursor) number(ctx context.Context, packet int) (int, error) {
	x, err := c.index(ctx, packet)
	if err != nil {
		return 0, err
	}
	return x.frame(packet), nil
}

// feed gives the next packet to the decoder.
func (c *cursor) feed(ctx context.Context, target int) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if !c.pending {
		p, err := c.src.Next()
		if errors.Is(err, av.ErrEnd) {
			if c.ended {
				return av.ErrEnd
			}
			c.ended = true
			c.dec.Drain()
			return nil
		}
		if err != nil {
			return err
		}
		x, err := c.index(ctx, c.next)
		if err != nil {
			return err
		}
		if c.next >= len(x.packets) || !same(x.packets[c.next], p) {
			packet := find(x, p, c.next)
			if packet < 0 {
				return nil // a packet that the scan never saw belongs to no picture
			}
			c.next = packet
		}
	}
	packet := c.next
	x, err := c.index(ctx, packet)
	if err != nil {
		return err
	}
	if c.fed && x.seam(packet) {
		c.pending, c.seam = true, true
		c.dec.Drain()
		return nil
	}
	c.pending = false
	c.next++
	if x.torn(packet) {
		return nil // what is left of a picture makes others wrong
	}
	if packet == c.longer {
		const more = 256 // bytes: more than any decoder reads ahead
		if err := c.src.Lengthen(more); err != nil {
			return err
		}
	}
	c.dec.Skip(x.frame(packet) < target)
	_ = c.dec.Feed(c.src, int64(packet)) // a damaged packet gives no picture
	c.fed = true
	return nil
}

// same reports whether two readings are of one packet.
func same(a, b av.Packet) bool {
	return a.Size == b.Size && (a.Pos == b.Pos && a.Pos >= 0 || a.PTS == b.PTS && a.PTS != av.NoTime || a.DTS == b.DTS && a.DTS != av.NoTime)
}

// find looks for a packet near a place of the list, then everywhere; -1 where it
// is not.
func find(x *Index, p av.Packet, near int) int {
	strict := func(i int) bool {
		q := x.packets[i]
		return same(q, p) && (q.PTS == p.PTS || p.PTS == av.NoTime || q.PTS == av.NoTime)
	}
	near = min(max(near, 0), len(x.packets)-1)
	for d := 0; near-d >= 0 || near+d < len(x.packets); d++ {
		if i := near + d; i < len(x.packets) && strict(i) {
			return i
		}
		if i := near - d; i >= 0 && strict(i) {
			return i
		}
	}
	return -1
}

// tries is how often entering backs off. The last but one of them moves to the
// file's start; the last opens it anew, for there are containers that give other
// packets after any move.
const tries = 7

// enter moves to the place in keys, so that the next picture that can be trusted
// is the key's or an earlier one.
func (c *cursor) enter(ctx context.Context, x *Index, place int) error {
	c.at, c.entered = -1, max(place, 0)
	key := x.keys[max(place, 0)]
	if place < 0 {
		key = entry{}
	}
	for try := 0; try < tries; try++ {
		if err := c.seek(x, int(key.packet), try); err != nil {
			continue
		}
		c.dec.Flush()
		c.ended, c.pending, c.seam, c.fed = false, false, false, false
		near := int(key.packet)
		if try == tries-1 {
			near = 0
		}
		for miss := 0; miss < 8; {
			p, err := c.src.Next()
			if errors.Is(err, av.ErrEnd) {
				break
			}
			if err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			packet := find(x, p, near)
			if packet < 0 {
				miss++
				continue
			}
			near = packet + 1
			if packet > int(key.packet) {
				break
			}
			if packet < int(key.packet) {
				continue
			}
			c.next, c.pending = packet, true
			c.floor, c.at = int(key.frame), int(key.frame)
			if x.frame(packet) < 0 {
				c.entered = 0 // the key's own picture is not shown
			}
			return nil
		}
	}
	return fmt.Errorf("packet %d cannot be entered", key.packet)
}

// seek moves the source so that the wanted packet should follow, further back with
// every try.
func (c *cursor) seek(x *Index, packet, try int) error {
	if try == tries-1 {
		return c.restart()
	}
	p := x.packets[packet]
	if pos := x.pos(packet); c.src.ByteSeekable() && pos >= 0 {
		back := int64(0)
		if try > 0 {
			back = 1 << (14 + 3*try)
		}
		if try == tries-2 {
			back = pos
		}
		return c.src.SeekByte(max(0, pos-back))
	}
	t := p.PTS
	if t == av.NoTime || try > 0 && p.DTS != av.NoTime {
		t = p.DTS
	}
	if t == av.NoTime {
		return errors.New("no time to go by")
	}
	if try > 0 {
		t -= x.base.Ticks(float64(int(1)<<(2*(try-1))) / 4)
	}
	if try == tries-2 {
		first := x.packets[0]
		t = min(first.DTS, first.PTS)
		if t == av.NoTime {
			t = max(first.DTS, first.PTS)
		}
	}
	return c.src.SeekTime(t)
}
