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
	"strokeledger/internal/desk/seen"
	"strokeledger/internal/measure"
	"strokeledger/internal/pose"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// State says how looking at a clip stands.
type State string

const (
	NotStarted State = ""        // some strokes were not looked at
	Watching   State = "running" // in the background
	Failed     State = "failed"  // Say has the reason
	Finished   State = "done"    // every stroke was looked at
)

// Progress tells how many of a clip's strokes were looked at, and of the turns in which
// strokes are proposed.
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
	all := len(c.strokes) + len(c.turns)
	p := Progress{All: all, Done: all - c.left(v)}
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
	if len(c.strokes)+len(c.turns) == 0 {
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
		err := x.watch(ctx, v, &c, finder, x.teller(r, notify))
		x.conclude(r, err, ctx.Err() != nil, c.progress(v))
		if !x.lib.Jobs.Stopped() {
			p, _ := x.last(id)
			notify(p)
		}
		close(r.ended)
	}()
	return r, p, nil
}

// teller counts a run's strokes and tells of them.
func (x *Meter) teller(r *run, notify func(Progress)) func(done, all int) {
	told := time.Now()
	return func(done, all int) {
		x.mu.Lock()
		r.progress.Done, r.progress.All = done, all
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

// watch looks at what was not looked at, a turn or a stroke at a time, and keeps it: first
// at the turns in which strokes are proposed, since which these are hangs on it.
func (x *Meter) watch(ctx context.Context, v *heard.Clip, c *looked, finder *pose.Finder, tell func(done, all int)) error {
	film, release, err := x.footage.Open(ctx, v.Row.ID)
	if err != nil {
		return err
	}
	defer release()
	var near pose.Ground
	if c.camera != nil {
		near = c.ruler.Ground()
		if c.kept.Empty() {
			holds, err := c.ruler.Holds(ctx, film)
			if err != nil {
				return err
			}
			c.kept.First, c.kept.Last = holds.First, holds.Last
		}
	} else {
		c.kept.Ruler = "" // of pictures that are added nothing is as sure
	}
	w := &watching{meter: x, film: film, follower: finder.Follow(near), view: av.NewView(), clip: c, row: v.Row, saved: time.Now()}
	defer w.view.Close()
	p := c.progress(v)
	look := func(frames []int) error {
		if c.kept.HasAll(frames) {
			return nil
		}
		if err := w.look(ctx, frames); err != nil {
			return err
		}
		p.Done++
		tell(p.Done, p.All)
		return nil
	}
	for _, t := range c.turns {
		w.follower.Forget()
		if err := look(v.Pictures(t)); err != nil {
			return err
		}
	}
	if len(c.turns) > 0 {
		if err := w.put(ctx); err != nil {
			return err
		}
		now, err := x.heard.Clip(ctx, v.Row.ID)
		if err != nil {
			return err
		}
		*v = *now
		c.strokes = strokesOf(v, c.players)
		p = c.progress(v)
	}
	for i, s := range c.strokes {
		if i == 0 || c.strokes[i-1].turn != s.turn {
			w.follower.Forget()
		}
		if err := look(s.frames(v.Index)); err != nil {
			return err
		}
	}
	return w.put(ctx)
}

// watching is one run through the pictures of a clip.
type watching struct {
	meter    *Meter
	film     *clip.Clip
	follower *pose.Follower
	view     *av.View
	clip     *looked
	row      club.Clip
	saved    time.Time
}

// look looks at those of some pictures that were not looked at.
func (w *watching) look(ctx context.Context, frames []int) error {
	want := slices.DeleteFunc(slices.Clone(frames), w.clip.kept.Has)
	err := look(ctx, w.film, want, w.view, func(n int, img *image.RGBA) {
		person, found := w.follower.Next(img)
		one := seen.Picture{Frame: n, Found: found}
		if found {
			one.Body = bodyOf(&person)
		}
		w.clip.kept.Add(one)
	})
	const often = 20 * time.Second // that is lost where the program ends
	if err != nil || time.Since(w.saved) > often {
		return errors.Join(err, w.put(ctx))
	}
	return nil
}

// put keeps what was found so far.
func (w *watching) put(ctx context.Context) error {
	w.saved = time.Now()
	err := w.clip.kept.Keep(context.WithoutCancel(ctx), w.meter.lib.Library, w.row)
	if errors.Is(err, store.ErrReadOnly) {
		return nil // a read-only library keeps no cache
	}
	return err
}

// bodyOf takes from a person what is measured.
func bodyOf(p *pose.Person) (b measure.Body) {
	places := [6][2]pose.Place{{pose.RightShoulder, pose.LeftShoulder}, {pose.RightElbow, pose.LeftElbow}, {pose.RightWrist, pose.LeftWrist},
		{pose.RightHip, pose.LeftHip}, {pose.RightHeel, pose.LeftHeel}, {pose.RightToe, pose.LeftToe}}
	for i, pair := range b.Pairs() {
		for side := range pair {
			pair[side] = measure.Joint(p.Joints[places[i][side]])
		}
	}
	return b
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
