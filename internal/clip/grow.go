package clip

import (
	"context"
	"errors"
	"os"

	"strokeledger/internal/clip/av"
)

// ErrChanged means that a file is no longer the one that was opened.
var ErrChanged = errors.New("file has changed")

// Grown reports whether the file is longer than it was when it was opened or
// scanned last: a recording that still runs, or a copy that does.
func (c *Clip) Grown(ctx context.Context) (bool, error) {
	now, err := c.length(ctx)
	if err != nil {
		return false, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return now > c.scanned, nil
}

// Size is a file's length. The error is one plain sentence and wraps one of the
// errors of this package.
func Size(ctx context.Context, path string) (int64, error) { return newDeadline(path).length(ctx) }

func (p *deadline) length(ctx context.Context) (int64, error) {
	type answer struct {
		size int64
		err  error
	}
	found := make(chan answer, 1)
	err := p.try(ctx, func() {
		var a answer
		p.watch.During(func() { a.size, a.err = reachable(p.path) })
		found <- a
	})
	if err != nil {
		return 0, err
	}
	a := <-found
	return a.size, a.err
}

// size is the file's length at present.
func (p *deadline) size() (size int64, err error) {
	p.watch.During(func() {
		var st os.FileInfo
		if st, err = os.Stat(p.path); err == nil {
			size = st.Size()
		}
	})
	return size, err
}

// Rescan lists the file again, for a recording that has grown, and returns how
// many pictures kept their numbers and times: all that there were, but for the
// last few where the file ended in the middle of pictures that are shown in
// another order than they are stored in. Pictures beyond the old end can be asked
// for as soon as it returns. ErrChanged where the file begins otherwise than it
// did: open it anew.
func (c *Clip) Rescan(ctx context.Context) (kept int, err error) {
	if err := c.Indexed(ctx); err != nil {
		return 0, err
	}
	size, err := c.length(ctx)
	if err != nil {
		return 0, err
	}
	type result struct {
		x   *Index
		err error
	}
	found := make(chan result, 1)
	err = c.try(ctx, func() {
		var r result
		r.err = scan(c.ctx, c.watch, c.path, c.stream, func(x *Index) { r.x = x })
		found <- r
	})
	if err != nil {
		return 0, err
	}
	r := <-found
	if r.err != nil {
		return 0, c.trouble(r.err)
	}
	old := c.index.Load()
	kept, same := r.x.continues(old)
	if !same {
		return kept, problemf(ErrChanged, "The file %q is no longer the recording that was opened: close it and add it as a new clip.", c.path)
	}
	c.mu.Lock()
	c.index.Store(r.x.with(c.facts))
	c.scanned, c.growing = size, false
	close(c.grown)
	c.grown = make(chan struct{})
	c.mu.Unlock()
	c.player.renew(kept)
	return kept, nil
}

// Continues reports whether the index is of the same recording as an earlier one,
// which has grown since; see [Clip.Rescan].
func (x *Index) Continues(old *Index) bool {
	_, same := x.continues(old)
	return same
}

func (x *Index) continues(old *Index) (kept int, same bool) {
	kept = x.agrees(old)
	return kept, kept > 0 && kept >= old.Len()-reordering/2
}

// agrees is how many pictures of an earlier index are the same in this one.
func (x *Index) agrees(old *Index) int {
	for n := range old.order {
		if n >= x.Len() || x.ticks[n] != old.ticks[n] || !begins(x.packets[x.order[n]], old.packets[old.order[n]]) {
			return n
		}
	}
	return old.Len()
}

// begins reports whether two packets stand at the same place: the last one of a
// growing file may since have become longer.
func begins(a, b av.Packet) bool { return a.Pos == b.Pos && a.PTS == b.PTS && a.DTS == b.DTS }
