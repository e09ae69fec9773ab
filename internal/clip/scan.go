package clip

import (
	"context"
	"errors"

	"strokeledger/internal/clip/av"
)

// longGroup is the distance of key pictures, in seconds, from which on it is worth
// reading a whole file for more places to enter than its header names.
const longGroup = 12

// scan lists the packets of a stream and calls publish with a growing index, the
// last of them complete. It ends early with the context's error.
func scan(ctx context.Context, watch *av.Watch, path string, stream av.Stream, publish func(*Index)) error {
	src, err := watch.OpenHeader(path)
	if err != nil {
		return err
	}
	return scanFrom(ctx, watch, src, path, stream, publish)
}

// scanFrom is scan with the file's header open already, which it closes; nil where
// the packets do not stand there.
func scanFrom(ctx context.Context, watch *av.Watch, src *av.Source, path string, stream av.Stream, publish func(*Index)) error {
	if src != nil && !stream.Listed() {
		src.Close()
		src = nil
	}
	ends, err := bounds(path, watch, true)
	if err != nil {
		if src != nil {
			src.Close()
		}
		return err
	}
	if src != nil {
		src.Choose(stream.Index)
		var last *Index
		err := enumerate(ctx, watch, src, path, stream, ends, func(x *Index) {
			if last = x; !x.Complete || x.longest() <= longGroup && !x.Broken {
				publish(x)
			}
		})
		if err == nil && last.Broken { // only this list tells of pictures behind the file's end
			publish(last)
		}
		if err != nil || last.Broken || last.longest() <= longGroup {
			return err
		}
	}
	if src, err = watch.OpenSource(path); err != nil {
		return err
	}
	src.Choose(stream.Index)
	return enumerate(ctx, watch, src, path, stream, ends, publish)
}

// enumerate reads a source to its end, and closes it.
func enumerate(ctx context.Context, watch *av.Watch, src *av.Source, path string, stream av.Stream, ends ending, publish func(*Index)) (err error) {
	defer src.Close()
	defer context.AfterFunc(ctx, src.Stop)()
	l := newListing(stream, src.ByteSeekable())
	l.ends, l.container, l.listed = ends, src.Format(), src.Hollow()
	next := 2 * reordering // how many packets the next index is worth making of
	for packets := make([]av.Packet, 2048); ; {
		n, err := src.Scan(packets[:min(len(packets), max(next-len(l.packets), 1))])
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil && !errors.Is(err, av.ErrEnd) && len(l.packets) == 0 {
			return err
		}
		if err != nil && !errors.Is(err, av.ErrEnd) {
			// What was readable of a damaged disk is kept; what is not there at all any
			// more may be whole once it is back.
			p := deadline{path: path, watch: watch}
			if gone := p.check(); gone != nil {
				return gone
			}
		}
		l.add(packets[:n])
		if l.untimed {
			return scanByDecoding(ctx, watch, path, stream, ends, publish)
		}
		if l.hidden == nil && (n == 0 || l.keyed && len(l.packets) >= l.first+2*reordering) {
			if l.hidden, err = undecodable(ctx, watch, path, stream, l); err != nil {
				return err
			}
		}
		if n == 0 || l.beyond() {
			if err := l.judge(ctx, watch, path, stream); err != nil {
				return err
			}
			publish(l.index(true))
			return nil
		}
		if len(l.packets) >= next {
			if l.hidden != nil {
				publish(l.index(false))
			}
			next = len(l.packets) * 3 / 2
		}
	}
}

func newListing(stream av.Stream, jumps bool) *listing {
	l := &listing{base: stream.Base, delay: stream.Delay, jumps: jumps, lost: -1, most: -1}
	if stream.FrameNum > 0 && stream.FrameDen > 0 {
		l.step = stream.Base.Ticks(float64(stream.FrameDen) / float64(stream.FrameNum))
	}
	return l
}

// undecodable finds the pictures at the start of a file that were to be shown
// before its first key picture but lean on a group that was cut off: it decodes
// the start and sees which of them come out.
func undecodable(ctx context.Context, watch *av.Watch, path string, stream av.Stream, l *listing) (map[int32]bool, error) {
	hidden := map[int32]bool{}
	if !l.keyed {
		return hidden, nil
	}
	first, last := l.first, l.first
	for i := first + 1; i < min(len(l.packets), first+2*reordering); i++ {
		if l.packets[i].Flags&av.Hidden == 0 && l.ticks[i] < l.ticks[first] {
			hidden[int32(i)] = true
			last = i
		}
	}
	if len(hidden) == 0 {
		return hidden, nil
	}
	d, err := newDecoding(watch, path, stream, 1)
	if err != nil {
		return nil, err
	}
	defer d.close()
	d.from = first
	defer context.AfterFunc(ctx, d.src.Stop)()
	for d.fed < last+2*reordering {
		p, packet, err := d.next()
		if errors.Is(err, av.ErrEnd) {
			break
		}
		if err != nil {
			return nil, err
		}
		p.Close()
		delete(hidden, int32(packet))
	}
	return hidden, ctx.Err()
}

// scanByDecoding finds the showing order where packets carry no times, by
// decoding the whole stream: the decoder alone knows the order.
func scanByDecoding(ctx context.Context, watch *av.Watch, path string, stream av.Stream, ends ending, publish func(*Index)) error {
	d, err := newDecoding(watch, path, stream, 0)
	if err != nil {
		return err
	}
	defer d.close()
	defer context.AfterFunc(ctx, d.src.Stop)()
	l := newListing(stream, d.src.ByteSeekable())
	l.ends, l.container, l.shown = ends, d.src.Format(), []int32{}
	last := -1             // the packet of the latest picture that came out whole
	made := map[int]bool{} // packets of which a picture came out
	d.seen = func(p av.Packet) { l.add([]av.Packet{p}) }
	for next := 2 * reordering; ; {
		p, packet, err := d.next()
		damaged := false
		if err == nil {
			damaged = p.Damaged()
			p.Close()
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if errors.Is(err, av.ErrEnd) {
			err := l.judgeBy(path, watch, func(packet int) (bool, error) {
				if packet != last {
					return false, nil
				}
				return l.isWhole(ctx, watch, path, stream, packet)
			})
			if err != nil {
				return err
			}
			publish(l.index(true))
			return nil
		}
		if err != nil {
			return err
		}
		if !damaged {
			last = max(last, packet)
		}
		if l.packets[packet].Flags&av.Hidden != 0 || made[packet] {
			continue // a second picture of one packet cannot be told from the first
		}
		made[packet] = true
		l.shown = append(l.shown, int32(packet))
		if len(l.shown) >= next {
			publish(l.index(false))
			next = len(l.shown) * 3 / 2
		}
	}
}

// decoding decodes a stream from its start, picture by picture.
type decoding struct {
	src  *av.Source
	dec  *av.Decoder
	fed  int             // packets read so far
	from int             // the first of them that is decoded
	seen func(av.Packet) // told of each packet, may be nil
}

func newDecoding(watch *av.Watch, path string, stream av.Stream, threads int) (*decoding, error) {
	src, err := watch.OpenSource(path)
	if err != nil {
		return nil, err
	}
	src.Choose(stream.Index)
	dec, err := av.NewDecoder(src, threads)
	if err != nil {
		src.Close()
		return nil, err
	}
	return &decoding{src: src, dec: dec}, nil
}

// next returns the next picture, which the caller closes, and the packet it was
// made of; av.ErrEnd after the last.
func (d *decoding) next() (*av.Picture, int, error) {
	for {
		p, err := d.dec.Receive()
		switch {
		case err == nil && p.Number() >= 0:
			return p, int(p.Number()), nil
		case err == nil:
			p.Close()
			continue
		case errors.Is(err, av.ErrEnd):
			return nil, 0, err
		}
		packet, err := d.src.Next()
		if errors.Is(err, av.ErrEnd) {
			d.dec.Drain()
			continue
		}
		if err != nil {
			return nil, 0, err
		}
		if d.seen != nil {
			d.seen(packet)
		}
		if d.fed >= d.from {
			_ = d.dec.Feed(d.src, int64(d.fed)) // a damaged packet gives no picture
		}
		d.fed++
	}
}

func (d *decoding) close() {
	d.dec.Close()
	d.src.Close()
}
