package clip

import (
	"errors"

	"strokeledger/internal/clip/av"
)

// decodeAhead serves requests, and reads ahead when there are none. One goroutine.
type decodeAhead struct {
	*player
	threads int
	cur     *cursor // nil before the file is opened
	seen    int     // generation of the file that cur reads
	end     int64   // where the film was thought to end in its file then
	failed  bool    // reading: the file is opened anew for the next request
	held    []held  // decoded last, the newest at the end
}

type held struct {
	n       int
	picture *av.Picture
}

// holding is how many decoded pictures are kept, for requests that come late and
// for the exact picture of what is on screen. 1080p takes 3 MB each.
func (f *decodeAhead) holding() int {
	if f.clip.info.CodedWidth*f.clip.info.CodedHeight > 2048*1200 {
		return 3
	}
	return 8
}

func (f *decodeAhead) run() {
	if f.cur != nil {
		f.cur.stopWith(f.ctx)
	}
	defer func() {
		if f.cur != nil {
			f.cur.close()
		}
	}()
	defer f.evict(0)
	f.mu.Lock()
	defer f.mu.Unlock()
	for !f.closed {
		if o := f.newest(); o != nil {
			f.mu.Unlock()
			f.serve(o)
			f.mu.Lock()
			continue
		}
		if s, ok := f.next(); ok {
			f.mu.Unlock()
			f.prepare(s)
			f.mu.Lock()
			continue
		}
		f.change.Wait()
	}
}

// next is the nearest picture ahead that is not ready, while the viewer steps
// forward.
func (f *decodeAhead) next() (shot, bool) {
	n, way := f.heading()
	if way <= 0 || f.skipping() {
		return shot{}, false
	}
	most := aheadOf
	if f.view.form == asScreen {
		most = aheadOfScreen
	}
	for m := n + 1; m <= n+most && m < f.clip.Index().Len(); m++ {
		for _, s := range f.view.shots(m) {
			if !f.ready(s) {
				return s, true
			}
		}
	}
	return shot{}, false
}

// serve makes the picture of an order, or stops half-way for a newer one.
func (f *decodeAhead) serve(o *order) {
	var pic *av.Picture
	err := f.refresh()
	if err == nil {
		pic, err = f.picture(o.n, func() bool {
			n := f.newest()
			return n == nil || n != o && n.number > o.number && !f.cur.ahead(f.clip.Index(), n.n)
		})
	}
	switch {
	case err != nil:
		f.failed = !errors.Is(err, ErrFrame)
		f.mu.Lock()
		begun := o.begun
		o.begun = true
		f.mu.Unlock()
		if !begun {
			o.err = f.clip.trouble(err)
			f.finish(o)
		}
	case pic != nil:
		f.give(pic, o.shot, f.urgent)
	}
}

// refresh opens the file, anew where it could not be read or has grown.
func (f *decodeAhead) refresh() error {
	f.mu.Lock()
	generation := f.generation
	f.mu.Unlock()
	if generation != f.seen {
		f.evict(0)
	}
	end := f.clip.watch.Ends()
	if f.cur != nil && !f.failed && generation == f.seen && end == f.end {
		return nil
	}
	cur, err := f.cursor(f.threads)
	if err != nil {
		if f.cur != nil {
			return nil // the old one says what is wrong
		}
		return err
	}
	if f.cur != nil {
		f.cur.close()
	}
	f.cur, f.failed, f.seen, f.end = cur, false, generation, end
	cur.stopWith(f.ctx)
	return nil
}

// prepare makes a picture that nobody waits for yet.
func (f *decodeAhead) prepare(s shot) {
	var pic *av.Picture
	err := f.refresh()
	if err == nil {
		pic, err = f.picture(s.n, func() bool { return f.newest() != nil })
	}
	if err != nil {
		f.mu.Lock()
		f.gaps[s.n] = true
		f.mu.Unlock()
	} else if pic != nil {
		f.give(pic, s, f.urgent)
	}
}

// picture decodes picture n, the one before it where n cannot be made, or gives up
// and returns nil when leave, called under the lock, says so. The picture stays
// owned by decodeAhead. Pictures on the way that somebody waits for, or that will
// be asked for next, go to the workers.
func (f *decodeAhead) picture(n int, leave func() bool) (*av.Picture, error) {
	for _, h := range f.held {
		if h.n == n {
			return h.picture, nil
		}
	}
	x := f.clip.Index()
	place := x.enter(n)
	forward := f.cur.ahead(x, n)
	if !forward {
		if err := f.cur.enter(f.ctx, x, place); err != nil {
			return nil, err
		}
	}
	from := n
	f.mu.Lock()
	if _, way := f.heading(); way < 0 {
		from = n - atOnceUrgent // the steps after this one will want them
	}
	skipping := f.skipping()
	f.mu.Unlock()
	ready := from
	if forward && n-f.cur.at <= near {
		from = f.cur.at // held: a request for one of them may be late
		if !skipping {
			ready = from
		}
	}
	pic, err := f.decode(n, from, ready, leave)
	if err != nil || pic != nil {
		return pic, err
	}
	if f.passed(n) == nil {
		return nil, nil // left
	}
	// It did not come out. A group further back may hold what it leans on, or it
	// comes after later ones, as where a clock too coarse gives two pictures one
	// time; if not, the picture before stands in for it.
	if err := f.cur.enter(f.ctx, x, max(0, place-1)); err != nil {
		return nil, err
	}
	f.cur.late = n
	pic, err = f.decode(n, 0, n, func() bool { return false })
	f.cur.late = -1
	if err != nil || pic != nil {
		return pic, err
	}
	f.clip.damage(n)
	if h := f.passed(n); h != nil && h.n < n {
		stand := h.picture.Clone()
		f.hold(n, stand)
		return stand, nil
	}
	return nil, problemf(ErrFrame, "Frame %d is damaged and no picture before it can be shown in its place: go on to the next frame.", n)
}

// passed is the last held picture once decoding has gone past picture n, else nil.
func (f *decodeAhead) passed(n int) *held {
	if f.cur.at >= 0 && f.cur.at <= n {
		return nil
	}
	best := &held{n: n} // nothing before n is held
	for i, h := range f.held {
		if h.n < n && (best.picture == nil || h.n > best.n) {
			best = &f.held[i]
		}
	}
	return best
}

// lateness is how many pictures further on one may still come out.
const lateness = 4

// decode steps on until picture n; nil where it does not come out or leave says to
// give up. Pictures before from may be passed over, those from ready on are made
// ready on the way.
func (f *decodeAhead) decode(n, from, ready int, leave func() bool) (*av.Picture, error) {
	for {
		got, pic, err := f.cur.step(f.ctx, from)
		if errors.Is(err, av.ErrEnd) {
			f.cur.at = f.clip.Index().Len()
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		f.hold(got, pic)
		if got == n {
			return pic, nil
		}
		if got > n && (f.cur.late != n || got > n+lateness) {
			return nil, nil
		}
		f.onTheWay(got, pic, got >= ready)
		f.mu.Lock()
		left := leave()
		f.mu.Unlock()
		if left {
			return nil, nil
		}
	}
}

// onTheWay gives a picture to those who wait for it, or will.
func (f *decodeAhead) onTheWay(n int, pic *av.Picture, wanted bool) {
	f.mu.Lock()
	var shots []shot
	for s, o := range f.orders {
		if s.n == n && !o.begun {
			shots = append(shots, s)
		}
	}
	for _, s := range f.view.shots(n) {
		if wanted && !f.ready(s) {
			shots = append(shots, s)
		}
	}
	for _, w := range f.passing {
		if s := w.view.shots(n)[0]; !f.cache.has(s) {
			w.got <- f.order(s)
			shots = append(shots, s)
		}
	}
	f.passing = nil
	f.mu.Unlock()
	for _, s := range shots {
		f.give(pic, s, f.urgent)
	}
}

// hold keeps a picture and frees the oldest.
func (f *decodeAhead) hold(n int, pic *av.Picture) {
	f.held = append(f.held, held{n, pic})
	f.evict(f.holding())
}

func (f *decodeAhead) evict(keep int) {
	for len(f.held) > keep {
		f.held[0].picture.Close()
		f.held = append(f.held[:0], f.held[1:]...)
	}
}
