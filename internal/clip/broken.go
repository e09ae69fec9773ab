package clip

import (
	"bytes"
	"context"
	"os"
	"slices"

	"strokeledger/internal/clip/av"
)

// bounds tells how a file ends, and makes all that read it end with the first film
// in it. The quick way, where deep is false, finds that end in finished files only.
func bounds(path string, watch *av.Watch, deep bool) (e ending, err error) {
	err = withFile(path, watch, func(f watchedFile, size int64) { e = endOf(f, size, deep) })
	watch.End(e.first)
	return e, err
}

// withFile looks into a file under watch.
func withFile(path string, watch *av.Watch, look func(f watchedFile, size int64)) (err error) {
	var file *os.File
	watch.During(func() { file, err = os.Open(path) })
	if err != nil {
		return err
	}
	defer watch.During(func() { file.Close() })
	var info os.FileInfo
	watch.During(func() { info, err = file.Stat() })
	if err == nil {
		look(watchedFile{file, watch}, info.Size())
	}
	return err
}

// beyond reports whether a header's list was followed far enough behind the end of
// a file that was cut off.
func (l *listing) beyond() bool {
	return l.lost >= 0 && len(l.packets)-l.lost > 2*reordering
}

// judge decides, at the end of a file, whether it ends inside the film, and which
// packet is the first that is not whole.
func (l *listing) judge(ctx context.Context, watch *av.Watch, path string, stream av.Stream) error {
	err := l.judgeBy(path, watch, func(packet int) (bool, error) {
		return l.isWhole(ctx, watch, path, stream, packet)
	})
	if err != nil || !l.cut {
		return err
	}
	// A decoder does not give out some of the last pictures of a film that is cut
	// off.
	x := l.index(true)
	if x.Len() == 0 {
		return nil
	}
	from := max(0, x.Len()-1-max(l.delay, ahead(x.order)))
	out, err := come(ctx, watch, path, stream, x, from)
	for n := from; n < x.Len() && err == nil; n++ {
		if !out[n] {
			l.most = n
			break
		}
	}
	return err
}

// isWhole reports whether the last packet of a film makes a whole picture, or none.
func (l *listing) isWhole(ctx context.Context, watch *av.Watch, path string, stream av.Stream, packet int) (bool, error) {
	x := l.index(true)
	n := x.frame(packet)
	if n < 0 {
		return true, nil
	}
	out, err := come(ctx, watch, path, stream, x, n)
	if err != nil || !out[n] || stream.Codec != "h264" && stream.Codec != "hevc" {
		return out[n], err
	}
	// These decoders make a picture of any bytes, even of none, and report few
	// errors. But bytes appended to a complete picture do not change it, nor does what
	// was in its memory before.
	plain, err := pixels(ctx, watch, path, stream, x, n, -1, 0)
	if err != nil {
		return false, err
	}
	other, err := pixels(ctx, watch, path, stream, x, n, packet, 255)
	return bytes.Equal(plain, other), err
}

// pixels is picture n, one packet of the film being longer than it is, drawn over
// memory that is full of one value; nil where it does not come out.
func pixels(ctx context.Context, watch *av.Watch, path string, stream av.Stream, x *Index, n, longer int, memory byte) ([]byte, error) {
	cur, err := reopen(ctx, watch, path, stream, x)
	if err != nil {
		return nil, err
	}
	defer func() { cur.close() }()
	cur.longer = longer
	cur.dec.Prefill(memory)
	if cur.enter(ctx, x, x.enter(n)) != nil {
		return nil, ctx.Err()
	}
	for {
		got, p, err := cur.step(ctx, n)
		if err != nil {
			return nil, ctx.Err()
		}
		if got != n {
			p.Close()
			continue
		}
		defer p.Close()
		view := av.NewView()
		defer view.Close()
		img, err := view.RGBA(p, av.LookOf(stream))
		if err != nil {
			return nil, err
		}
		return img.Pix, nil
	}
}

// judgeBy is judge with decoding left to isWhole, which reports whether a packet
// makes a whole picture; it is asked about the last one only, where the container
// does not tell.
func (l *listing) judgeBy(path string, watch *av.Watch, isWhole func(packet int) (bool, error)) error {
	last := len(l.packets) - 1
	if last < 0 {
		return nil
	}
	l.cut = l.ends.cut
	if l.lost < 0 && l.packets[last].Flags&av.Corrupt != 0 {
		l.lost = last
	}
	if l.lost < 0 {
		l.lost = len(l.packets)
		state, cut := whole, false
		err := withFile(path, watch, func(f watchedFile, size int64) {
			if l.ends.first > 0 {
				size = l.ends.first
			}
			state, cut = lastPacket(f, size, l.container, l.packets[last])
			if l.container == av.ISOMedia && !l.cut {
				state = whole // its data may well stand at the end
			}
		})
		if err != nil {
			return err
		}
		l.cut = l.cut || cut || l.field != 0 && slices.Contains(l.second, true)
		if state == unsure {
			ok, err := isWhole(last)
			if err != nil {
				return err
			}
			if !ok {
				state = broken
			}
		}
		if state == broken {
			l.lost = last
		}
	}
	if !l.cut && !l.listed && l.shown == nil {
		order := l.index(true).order
		l.cut = ahead(order) > 0 && l.even(order) && l.gap(order) < len(order)
	}
	if l.lost < len(l.packets) {
		l.cut = true
		l.packets[l.lost].Flags |= av.Corrupt // see [cursor.feed]
	}
	if l.cut && l.lost > 0 && (l.lost < len(l.packets) && l.second[l.lost] || l.lost == len(l.packets) && l.field != 0) {
		l.lost-- // one field of a picture is not the whole of it
	}
	return nil
}

// reopen opens a film once more to decode some of it, which the caller closes.
func reopen(ctx context.Context, watch *av.Watch, path string, stream av.Stream, x *Index) (*cursor, error) {
	again := func() (*av.Source, error) {
		src, err := watch.OpenSource(path)
		if err == nil {
			src.Choose(stream.Index)
		}
		return src, err
	}
	src, err := again()
	if err != nil {
		return nil, err
	}
	cur, err := newCursor(src, 1, func(context.Context, int) (*Index, error) { return x, nil }, again)
	if err != nil {
		src.Close()
		return nil, err
	}
	cur.stopWith(ctx)
	return cur, nil
}

// come returns which pictures from n on a decoder gives out whole. Where the file
// cannot be decoded it returns all of them: asking for one of them then gives the
// error.
func come(ctx context.Context, watch *av.Watch, path string, stream av.Stream, x *Index, from int) (map[int]bool, error) {
	cur, err := reopen(ctx, watch, path, stream, x)
	if err != nil {
		return nil, err
	}
	defer func() { cur.close() }()
	out := map[int]bool{}
	if cur.enter(ctx, x, x.enter(from)) != nil {
		for n := from; n < x.Len(); n++ {
			out[n] = true
		}
		return out, ctx.Err()
	}
	for {
		n, p, err := cur.step(ctx, from)
		if err != nil {
			return out, ctx.Err()
		}
		out[n] = !p.Damaged()
		p.Close()
	}
}

// withoutTorn is an order of pictures without those that are not whole, and without
// those whose number is not sure: before them pictures may be missing that are
// stored behind them.
func (l *listing) withoutTorn(order []int32) []int32 {
	order = slices.DeleteFunc(slices.Clone(order), func(p int32) bool { return int(p) >= l.lost })
	for i := l.lost; i < len(l.packets); i++ { // what is known of those that are missing
		if l.packets[i].Flags&av.Hidden == 0 && l.ticks[i] != av.NoTime {
			order = order[:slices.IndexFunc(append(order, -1), func(p int32) bool { return p < 0 || l.ticks[p] >= l.ticks[i] })]
		}
	}
	if l.most >= 0 && l.most < len(order) {
		order = order[:l.most]
	}
	if l.listed {
		return order // all are known that are missing
	}
	if !l.even(order) {
		return order[:min(len(order), max(1, len(order)-l.depth(order)))]
	}
	return order[:l.gap(order)]
}

// depth is how many of the last pictures may have been stored before others that
// are missing.
func (l *listing) depth(order []int32) int { return max(l.delay, ahead(order)) }

// even reports whether the pictures before the last few follow each other evenly.
func (l *listing) even(order []int32) bool {
	_, even := l.spacing(order[:max(0, len(order)-l.depth(order))])
	return even
}

// gap is the first of the last few pictures that follows the one before it plainly
// later than usual: others between them are missing. It is len(order) where none is.
func (l *listing) gap(order []int32) int {
	depth := l.depth(order)
	usual, _ := l.spacing(order[:max(0, len(order)-depth)])
	for n := max(1, len(order)-depth); n < len(order); n++ {
		if l.ticks[order[n]]-l.ticks[order[n-1]] > usual*3/2 {
			return n
		}
	}
	return len(order)
}

// ahead is how many pictures decoding runs ahead of showing.
func ahead(order []int32) (depth int) {
	stored := slices.Clone(order)
	slices.Sort(stored)
	for n, p := range order {
		at, _ := slices.BinarySearch(stored, p)
		depth = max(depth, at-n)
	}
	return depth
}

// spacing is how many ticks apart pictures usually are, and whether no two are
// plainly further apart.
func (l *listing) spacing(order []int32) (usual int64, even bool) {
	var apart []int64
	for n := 1; n < len(order); n++ {
		apart = append(apart, l.ticks[order[n]]-l.ticks[order[n-1]])
	}
	if len(apart) < 4 {
		return l.step, l.step > 0
	}
	slices.Sort(apart)
	usual = apart[len(apart)/2]
	return usual, apart[len(apart)-1] <= usual*3/2
}

// certain is withoutTorn for an order that a decoder found, where there are no
// times to tell what is missing: what it gives out last it held back for others.
func (l *listing) certain(order []int32) []int32 {
	order = slices.DeleteFunc(slices.Clone(order), func(p int32) bool { return int(p) >= l.lost })
	return order[:max(0, len(order)-max(l.delay, ahead(order)))]
}
