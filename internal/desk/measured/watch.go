package measured

import (
	"context"
	"errors"
	"image"
	"slices"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/clip/av"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/pose"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
	"strokeledger/internal/table"
)

// State says how looking at a clip stands.
type State string

const (
	NotStarted State = ""        // some strokes were not looked at
	Watching   State = "running" // in the background
	Failed     State = "failed"  // Say has the reason
	Finished   State = "done"    // every stroke was looked at
)

// Progress tells how many of a clip's strokes were looked at.
type Progress struct {
	State State  `json:"state"`
	Done  int    `json:"done"`
	All   int    `json:"all"`
	Say   string `json:"say"` // one sentence where it failed, else empty
}

// run looks at the strokes of one clip.
type run struct {
	clip  club.ID
	stop  context.CancelFunc
	ended chan struct{} // closed when it has ended

	progress Progress // guarded by the meter
}

// Progress tells how far a clip is.
func (x *Meter) Progress(ctx context.Context, id club.ID) (Progress, error) {
	if p, ok := x.last(id); ok && (p.State == Watching || p.State == Failed) {
		return p, nil
	}
	v, err := x.heard.Clip(ctx, id)
	if err != nil {
		return Progress{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return Progress{}, err
	}
	c, err := x.clip(ctx, v, cat)
	if err != nil {
		return Progress{}, err
	}
	return c.progress(v), nil
}

func (c *looked) progress(v *heard.Clip) Progress {
	p := Progress{All: len(c.strokes), Done: len(c.strokes) - c.left(v)}
	if p.Done == p.All && p.All > 0 {
		p.State = Finished
	}
	return p
}

// last is how the last run stands, if it was of this clip.
func (x *Meter) last(id club.ID) (Progress, bool) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.run == nil || x.run.clip != id {
		return Progress{}, false
	}
	return x.run.progress, true
}

// Watch begins to look at the strokes of a clip in the background; the run of another
// clip ends meanwhile, and what it found stays. notify is called from another
// goroutine, a few times a second at most, and once at the end. The error has the code
// [pose.ErrMissing] where this program has no networks.
func (x *Meter) Watch(ctx context.Context, id club.ID, notify func(Progress)) (Progress, error) {
	_, p, err := x.begin(ctx, id, notify)
	return p, err
}

// begin is Watch; the run is nil where nothing is left to be looked at.
func (x *Meter) begin(ctx context.Context, id club.ID, notify func(Progress)) (*run, Progress, error) {
	v, err := x.heard.Clip(ctx, id)
	if err != nil {
		return nil, Progress{}, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, Progress{}, err
	}
	c, err := x.clip(ctx, v, cat)
	if err != nil {
		return nil, Progress{}, err
	}
	if len(c.strokes) == 0 {
		return nil, Progress{}, &club.Problem{Field: "clip", Say: "There is no stroke in this clip yet: listen to it, or enter strokes first."}
	}
	p := c.progress(v)
	if p.State == Finished {
		return nil, p, nil
	}
	finder, err := pose.New()
	if err != nil {
		return nil, p, err
	}
	x.mu.Lock()
	for x.run != nil && x.run.progress.State == Watching {
		r, p := x.run, x.run.progress
		x.mu.Unlock()
		if r.clip == id {
			return r, p, nil
		}
		r.halt()
		x.mu.Lock()
	}
	defer x.mu.Unlock()
	ctx, done, err := x.lib.Jobs.Begin(context.WithoutCancel(ctx))
	if err != nil {
		return nil, p, err
	}
	ctx, stop := context.WithCancel(ctx)
	p.State = Watching
	r := &run{clip: id, stop: stop, ended: make(chan struct{}), progress: p}
	x.run = r
	go func() {
		defer done()
		defer stop()
		x.conclude(r, x.watch(ctx, v, &c, finder, x.teller(r, notify)), ctx.Err() != nil, c.progress(v))
		if !x.lib.Jobs.Stopped() {
			p, _ := x.last(id)
			notify(p)
		}
		close(r.ended)
	}()
	return r, p, nil
}

// teller counts a run's strokes and tells of them.
func (x *Meter) teller(r *run, notify func(Progress)) func() {
	told := time.Now()
	return func() {
		x.mu.Lock()
		r.progress.Done++
		p := r.progress
		x.mu.Unlock()
		const often = 250 * time.Millisecond
		if time.Since(told) > often {
			told = time.Now()
			notify(p)
		}
	}
}

// conclude records how a run ended, and how far it came.
func (x *Meter) conclude(r *run, err error, stopped bool, p Progress) {
	if err != nil && !stopped {
		p.State, p.Say = Failed, sentence.Of(err)
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	r.progress = p
}

// halt stops a run and waits for it.
func (r *run) halt() {
	r.stop()
	<-r.ended
}

// Stop ends the run under way, if there is one, and waits for it; what was found stays.
func (x *Meter) Stop() {
	x.mu.Lock()
	r := x.run
	x.mu.Unlock()
	if r != nil {
		r.halt()
	}
}

// WatchToEnd looks at all strokes of a clip.
func (x *Meter) WatchToEnd(ctx context.Context, id club.ID, progress func(done, all int)) error {
	r, _, err := x.begin(ctx, id, func(p Progress) { progress(p.Done, p.All) })
	if err != nil || r == nil {
		return err
	}
	select {
	case <-r.ended:
	case <-ctx.Done():
		r.halt()
		return ctx.Err()
	}
	x.mu.Lock()
	p := r.progress
	x.mu.Unlock()
	switch p.State {
	case Finished:
		return nil
	case Failed:
		return &club.Problem{Field: "clip", Say: p.Say}
	default:
		return &club.Problem{Field: "clip", Say: "The measuring was stopped: try again."}
	}
}

// watch looks at what was not looked at, a stroke at a time, and keeps it.
func (x *Meter) watch(ctx context.Context, v *heard.Clip, c *looked, finder *pose.Finder, stroke func()) error {
	film, release, err := x.footage.Open(ctx, v.Row.ID)
	if err != nil {
		return err
	}
	defer release()
	var near pose.Ground
	if c.camera != nil {
		near = ground{c.camera}
		if len(c.kept.seen) == 0 {
			holds, err := c.ruler.Holds(ctx, film)
			if err != nil {
				return err
			}
			c.kept.first, c.kept.last = holds.First, holds.Last
		}
	}
	follower := finder.Follow(near)
	view := av.NewView()
	defer view.Close()
	put := func() error {
		err := x.lib.PutBodies(context.WithoutCancel(ctx), v.Row.Fingerprint, c.kept.bytes())
		if errors.Is(err, store.ErrReadOnly) {
			return nil // a read-only library keeps no cache
		}
		return err
	}
	const often = 20 * time.Second // that is lost where the program ends
	saved := time.Now()
	for i, s := range c.strokes {
		want := slices.DeleteFunc(s.frames(v.Index), c.kept.has)
		if len(want) == 0 {
			continue
		}
		if i > 0 && c.strokes[i-1].turn != s.turn {
			follower.Forget()
		}
		err := look(ctx, film, want, view, func(n int, img *image.RGBA) {
			person, found := follower.Next(img)
			one := seen{frame: n, found: found}
			if found {
				one.body = bodyOf(&person)
			}
			c.kept.add(one)
		})
		if err != nil {
			return errors.Join(err, put())
		}
		stroke()
		if time.Since(saved) > often {
			saved = time.Now()
			if err := put(); err != nil {
				return err
			}
		}
	}
	return put()
}

// look decodes some pictures of a film, in order, without what lies far between them.
func look(ctx context.Context, film *clip.Clip, frames []int, view *av.View, see func(n int, img *image.RGBA)) error {
	const near = 12 // pictures: less than to the next key picture as a rule
	for len(frames) > 0 {
		n := 1
		for n < len(frames) && frames[n]-frames[n-1] <= near {
			n++
		}
		part := frames[:n]
		frames = frames[n:]
		err := film.Roll(ctx, part[0], part[n-1], func(at int, p *av.Picture) error {
			if !slices.Contains(part, at) {
				return nil
			}
			img, err := view.RGBA(p, film.Look())
			if err != nil {
				return err
			}
			see(at, img)
			return ctx.Err()
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// ground is the floor as a clip's camera shows it.
type ground struct{ camera *table.Camera }

// Stand is where a point of the floor lies, metres; see [pose.Ground].
func (g ground) Stand(x, y float64) (behind, left float64, known bool) {
	spot, err := g.camera.Floor(table.Point{X: x, Y: y}, 0)
	if err != nil {
		return 0, 0, false
	}
	behind, _, err = spot.From(table.EndLine)
	right, _, also := spot.From(table.RightSideLine)
	return behind, -right, err == nil && also == nil
}
