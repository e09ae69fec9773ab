package clip

import (
	"context"
	"image"
	"slices"
	"sync"
	"time"

	"strokeledger/internal/clip/av"
)

// Figures of the player, chosen by measurement on two cores.
const (
	quality            = 85                     // of JPEG: 50 to 120 kB a picture at 1280 wide
	closeQuality       = 95                     // of a part whose own pixels are looked at
	pictureCacheLimit  = 60 << 20               // bytes of pictures kept, as JPEG some 9 s at 60 a second
	aheadOf            = 16                     // pictures made before they are asked for, stepping forward
	aheadOfScreen      = 4                      // the same of pixels, which take fifty times the room
	behind             = 256                    // pictures kept ready for stepping back
	atOnce             = 320                    // pictures made ready in one go, at most
	atOnceUrgent       = 64                     // the same when the very next picture is missing
	idleBeforePrefetch = 120 * time.Millisecond // without a request before earlier pictures are made
	near               = 8                      // a move of so many pictures is a step, not a jump
)

// player makes pictures of one clip. Three kinds of goroutine share the work:
// decodeAhead decodes what is asked for and a little ahead; prefetcher decodes the
// group before, so that stepping back finds it ready; workers turn decoded pictures
// into what is shown. The newest request is served first; one that nobody waits for any
// longer is dropped.
type player struct {
	clip *Clip
	ctx  context.Context
	stop context.CancelFunc
	wait sync.WaitGroup

	urgent, spare chan job // to the workers

	mu          sync.Mutex
	change      *sync.Cond // any of what follows changed
	closed      bool
	generation  int // how often the file was found to have grown
	cache       *pictureCache
	orders      map[shot]*order
	count       uint64       // of requests
	view        view         // asked for last
	recent      []int        // pictures asked for last, the newest at the end, since the last jump
	asked       time.Time    // when
	gaps        map[int]bool // pictures that do not come out of the decoder
	prefetching stretch      // what the prefetcher is decoding
	passing     []passing    // who wants the next picture that is decoded
}

// cursor opens the clip once more, which the caller closes.
func (p *player) cursor(threads int) (*cursor, error) {
	src, err := p.clip.source()
	if err != nil {
		return nil, err
	}
	cur, err := newCursor(src, threads, p.clip.knowing, p.clip.source)
	if err != nil {
		src.Close()
	}
	return cur, err
}

// renew lets go of pictures from a number on and opens the file anew, for it has
// grown.
func (p *player) renew(from int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.generation++
	p.cache.evict(func(s shot) bool { return s.n >= from })
	clear(p.gaps)
	p.change.Broadcast()
}

// view is what a viewer looks at of pictures: how whole ones are shown, and whether
// single fields are looked at. The zero value is none.
type view struct {
	look   av.Look
	form   form
	fields bool
}

func viewOf(s shot) view {
	v := view{s.look, s.form, s.look.Field != av.Whole}
	v.look.Field = av.Whole
	return v
}

// shots are what a view needs of picture n.
func (v view) shots(n int) []shot {
	switch {
	case v == view{}:
		return nil
	case v.fields:
		first, second := v.look, v.look
		first.Field, second.Field = av.First, av.Second
		return []shot{{n, first, v.form}, {n, second, v.form}}
	}
	return []shot{{n, v.look, v.form}}
}

// stretch is the pictures from low to high of one view that the prefetcher decodes
// in one go; those up to at are out. The zero value is empty.
type stretch struct {
	low, high, at int
	view          view
}

// brings reports whether the stretch will bring a picture.
func (r stretch) brings(s shot) bool {
	return s.form != asImage && viewOf(s) == r.view && s.n >= r.low && s.n > r.at && s.n <= r.high
}

// order is a picture that is wanted or being made.
type order struct {
	shot
	generation int    // of the file that the picture is of
	number     uint64 // of the newest request for it
	waiting    int    // callers
	begun      bool   // a worker has it
	done       chan struct{}
	data       []byte // JPEG or pixels
	image      *image.RGBA
	err        error
}

// job is a decoded picture for a worker, which closes it.
type job struct {
	picture *av.Picture
	order   *order
}

// newPlayer takes a cursor over, which may be nil: then the file is opened with the
// first request.
func newPlayer(c *Clip, cur *cursor, threads int) *player {
	p := &player{
		clip: c, urgent: make(chan job, 2), spare: make(chan job, 2), cache: newPictureCache(pictureCacheLimit),
		orders: map[shot]*order{}, gaps: map[int]bool{},
	}
	p.change = sync.NewCond(&p.mu)
	p.ctx, p.stop = context.WithCancel(c.ctx)
	f := &decodeAhead{player: p, threads: threads, cur: cur}
	b := &prefetcher{player: p, threads: threads}
	for _, run := range []func(){f.run, b.run, p.work, p.work} {
		p.wait.Add(1)
		go func() {
			defer p.wait.Done()
			run()
		}()
	}
	return p
}

// get returns a picture.
func (p *player) get(ctx context.Context, s shot) (*order, error) {
	p.mu.Lock()
	if p.closed {
		p.mu.Unlock()
		return nil, closed()
	}
	p.note(s)
	if data, ok := p.cache.get(s); ok {
		p.mu.Unlock()
		return &order{data: data}, nil
	}
	o := p.order(s)
	p.count++
	o.number = p.count
	o.waiting++
	p.change.Broadcast()
	p.mu.Unlock()
	err := p.until(ctx, o)
	if err == nil {
		if o.err != nil && p.ctx.Err() != nil {
			return nil, closed() // closing ended the work on it
		}
		return o, o.err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	o.waiting--
	if o.waiting == 0 && !o.begun {
		delete(p.orders, s)
	}
	return nil, err
}

// passing wants the next picture on the way to one that is asked for.
type passing struct {
	view view
	got  chan<- *order // has room
}

// pass makes the next picture ready that decodeAhead passes on its way; returns its number.
func (p *player) pass(ctx context.Context, s shot) (int, error) {
	got := make(chan *order, 1)
	p.mu.Lock()
	p.passing = append(p.passing, passing{viewOf(s), got})
	p.mu.Unlock()
	select {
	case o := <-got:
		return o.n, p.until(ctx, o)
	case <-p.ctx.Done():
		return 0, closed()
	case <-ctx.Done():
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.passing = slices.DeleteFunc(p.passing, func(w passing) bool { return w.got == got })
	return 0, ctx.Err()
}

// until waits for an order.
func (p *player) until(ctx context.Context, o *order) error {
	select { // most are done soon
	case <-o.done:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	case <-p.ctx.Done():
		return closed()
	case <-time.After(p.clip.tick()):
	}
	closing, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(p.ctx, cancel)()
	err := p.clip.slow()
	if err == nil {
		err = p.clip.deadline.wait(closing, o.done)
	}
	if p.ctx.Err() != nil {
		return closed()
	}
	return err
}

// order returns the order for a picture, a new one if need be.
func (p *player) order(s shot) *order {
	o := p.orders[s]
	if o == nil {
		o = &order{shot: s, generation: p.generation, done: make(chan struct{})}
		p.orders[s] = o
	}
	return o
}

// note remembers where the viewer is and which way the steps go.
func (p *player) note(s shot) {
	if k := len(p.recent); k > 0 && (s.n-p.recent[k-1] > near || p.recent[k-1]-s.n > near) {
		p.recent = p.recent[:0]
	}
	if len(p.recent) == 4 {
		p.recent = append(p.recent[:0], p.recent[1:]...)
	}
	p.recent = append(p.recent, s.n)
	if s.form != asImage {
		if s.form != asScreen && p.view.form == asScreen {
			// They take the room of many that stepping back needs ready.
			p.cache.evict(func(s shot) bool { return s.form == asScreen })
		}
		p.view = viewOf(s)
	}
	p.asked = time.Now()
	p.change.Broadcast()
}

// heading is the viewer's picture and the way of the last steps: 1, 0 or -1.
func (p *player) heading() (n, way int) {
	k := len(p.recent)
	if k == 0 {
		return -1, 0
	}
	switch n = p.recent[k-1]; {
	case n > p.recent[0]:
		return n, 1
	case n < p.recent[0]:
		return n, -1
	}
	return n, 0
}

// skipping reports whether the viewer goes forward and leaves pictures out, as when
// a clip plays faster than the machine can show it: making those would slow down
// the ones that are shown.
func (p *player) skipping() bool {
	k := len(p.recent)
	return k == 4 && p.recent[k-1]-p.recent[0] > 4
}

// newest is the newest order that no worker has yet and that the prefetcher does
// not bring, nil where there is none.
func (p *player) newest() *order {
	var best *order
	for _, o := range p.orders {
		if !o.begun && !p.prefetching.brings(o.shot) && (best == nil || o.number > best.number) {
			best = o
		}
	}
	return best
}

// ready reports whether a picture is made, being made or cannot be made.
func (p *player) ready(s shot) bool {
	return p.cache.has(s) || p.orders[s] != nil || p.gaps[s.n]
}

// give hands a decoded picture to the workers for an order, unless one has it. The
// picture stays the caller's.
func (p *player) give(pic *av.Picture, s shot, to chan<- job) {
	p.mu.Lock()
	if p.cache.has(s) {
		p.mu.Unlock()
		return
	}
	o := p.order(s)
	begun := o.begun
	o.begun = true
	p.mu.Unlock()
	if begun {
		return
	}
	j := job{pic.Clone(), o}
	select {
	case to <- j:
	case <-p.ctx.Done():
		j.picture.Close()
	}
}

// finish answers an order.
func (p *player) finish(o *order) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.orders, o.shot)
	if o.data != nil && o.generation == p.generation {
		p.cache.put(o.shot, o.data)
	}
	close(o.done)
	p.change.Broadcast()
}

// work converts pictures until the player closes.
func (p *player) work() {
	view := av.NewView()
	defer view.Close()
	for {
		var j job
		select {
		case j = <-p.urgent:
		default:
			select {
			case j = <-p.urgent:
			case j = <-p.spare:
			case <-p.ctx.Done():
				return
			}
		}
		o := j.order
		if j.picture.Interlaced() {
			p.clip.woven.Store(true)
		}
		switch {
		case o.form == asScreen:
			o.data, o.err = view.Screen(j.picture, o.look, nil)
		case o.form == asImage:
			o.image, o.err = view.RGBA(j.picture, o.look)
		case o.look.Exact():
			o.data, o.err = view.JPEG(j.picture, o.look, closeQuality)
		default:
			o.data, o.err = view.JPEG(j.picture, o.look, quality)
		}
		j.picture.Close()
		p.finish(o)
	}
}

// close ends all goroutines and gives everything back.
func (p *player) close() {
	p.stop()
	p.mu.Lock()
	p.closed = true
	p.change.Broadcast()
	p.mu.Unlock()
	p.wait.Wait()
	for { // what was under way to the workers
		select {
		case j := <-p.urgent:
			j.picture.Close()
		case j := <-p.spare:
			j.picture.Close()
		default:
			return
		}
	}
}
