package clip

import (
	"slices"
	"time"
)

// prefetcher makes the pictures before the viewer's ready while nothing else is
// asked. One goroutine, with a decoder of its own so that decodeAhead keeps its
// place.
type prefetcher struct {
	*player
	threads int
	cur     *cursor
	seen    int   // generation of the file that cur reads
	end     int64 // where the film was thought to end in its file then
	alarm   *time.Timer
}

func (b *prefetcher) run() {
	defer func() {
		if b.cur != nil {
			b.cur.close()
		}
	}()
	b.mu.Lock()
	defer b.mu.Unlock()
	b.alarm = time.AfterFunc(time.Hour, func() { b.change.Broadcast() })
	defer b.alarm.Stop()
	for !b.closed {
		low, high, ok := b.missing()
		if ok && b.quiet() {
			filling := stretch{low, high, low - 1, b.view}
			b.player.prefetching = filling
			b.mu.Unlock()
			err := b.fill(filling)
			b.mu.Lock()
			b.player.prefetching = stretch{}
			b.change.Broadcast() // what was not decoded is left to decodeAhead
			if err != nil {
				b.gaps[high] = true // decodeAhead reports the error when the picture is asked for
			}
			continue
		}
		b.change.Wait()
	}
}

// missing is the stretch of pictures to make ready next, for a viewer who does not play: from the start of a group,
// or less of a long one, to the nearest picture before the viewer's that is not
// ready.
func (b *prefetcher) missing() (low, high int, ok bool) {
	n, _ := b.heading()
	x := b.clip.Index()
	if n < 0 || b.view == (view{}) || b.view.form == asScreen || n >= x.Len() {
		return 0, 0, false
	}
	reach := behind
	if size := b.cache.typical(); size > 0 {
		reach = min(reach, pictureCacheLimit/2/size)
		if b.view.fields {
			reach /= 2
		}
	}
	for high = n - 1; high >= 0 && high >= n-reach; high-- {
		if slices.ContainsFunc(b.view.shots(high), func(s shot) bool { return !b.ready(s) }) {
			low = 0
			if place := x.enter(high); place >= 0 {
				low = int(x.keys[place].frame)
			}
			count := min(atOnce, reach)
			if high == n-1 {
				count = min(count, atOnceUrgent)
			}
			return max(low, high-count+1), high, true
		}
	}
	return 0, 0, false
}

// quiet reports whether pictures before the viewer's may be made now: nobody waits
// for one, and the viewer steps back or has stopped.
func (b *prefetcher) quiet() bool {
	if b.newest() != nil {
		return false
	}
	if _, way := b.heading(); way < 0 {
		return true
	}
	if left := idleBeforePrefetch - time.Since(b.asked); left > 0 {
		b.alarm.Reset(left)
		return false
	}
	return true
}

// fill decodes a stretch and gives it to the workers. It waits while anybody waits
// for a picture, and stops when the viewer has gone elsewhere.
func (b *prefetcher) fill(filling stretch) error {
	low, high := filling.low, filling.high
	x := b.clip.Index()
	b.mu.Lock()
	generation := b.generation
	b.mu.Unlock()
	end := b.clip.watch.Ends()
	if b.cur != nil && (b.seen != generation || b.end != end) {
		b.cur.close()
		b.cur = nil
	}
	if b.cur == nil {
		cur, err := b.cursor(b.threads)
		if err != nil {
			return err
		}
		b.cur, b.seen, b.end = cur, generation, end
		cur.stopWith(b.ctx)
	}
	if !b.cur.ahead(x, low) {
		if err := b.cur.enter(b.ctx, x, x.enter(low)); err != nil {
			return err
		}
	}
	for expected := low; ; {
		n, pic, err := b.cur.step(b.ctx, low)
		if err != nil {
			b.skip(expected, high+1)
			return err
		}
		if n >= low && n <= high {
			b.skip(expected, n)
			expected = n + 1
			for _, s := range filling.view.shots(n) {
				b.give(pic, s, b.spare)
			}
		}
		pic.Close()
		if n >= high {
			b.skip(expected, high+1)
			return nil
		}
		if b.gone(n, high) {
			return nil
		}
	}
}

// skip remembers pictures that did not come out, so that they are not tried again.
func (b *prefetcher) skip(from, to int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for n := from; n < to; n++ {
		b.gaps[n] = true
	}
}

// gone waits while somebody waits for a picture and reports whether the rest of a
// stretch, after picture at, is of no use any longer.
func (b *prefetcher) gone(at, high int) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.player.prefetching.at = max(at, b.player.prefetching.low-1)
	b.change.Broadcast()
	for b.newest() != nil && !b.closed {
		b.change.Wait()
	}
	n, way := b.heading()
	return b.closed || n <= at || n > high+2*behind || way > 0 && n > high+near
}
