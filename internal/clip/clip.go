// Package clip opens footage and steps through it: picture n is the nth picture
// in showing order, found by the package's own list of the file's packets, never
// by time and rate. Clip time is in seconds and 0 at the first picture; sound runs
// on the same clock. The package never writes to a file.
package clip

import (
	"context"
	"errors"
	"image"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/club"
)

// Options choose what is opened. The zero value opens the default streams.
type Options struct {
	Index   *Index // from an earlier opening of the same file; nil: scan
	Video   int    // place in Info.Videos counted from 1; 0 or less: the default
	Sound   int    // place in Info.Sounds counted from 1; 0 or less: the default
	Threads int    // of a decoder, 0 as many as there are processors

	deadline *deadline // nil: a new one
}

// Clip is open footage. It is safe for concurrent use. The caller closes it.
type Clip struct {
	*deadline
	info   Info
	look   av.Look
	stream av.Stream
	facts  *facts // without Firsts until told
	cancel context.CancelFunc
	ctx    context.Context

	running sync.WaitGroup

	index   atomic.Pointer[Index]
	mu      sync.Mutex
	grown   chan struct{} // closed and replaced when the index grows
	told    bool          // the facts are complete
	scanErr error         // why the scan ended early
	woven   atomic.Bool   // a picture of two moments was seen
	jumps   bool          // the file's clock may start anew inside it: where, the index tells
	growing bool          // while it was scanned
	scanned int64         // length of the file when it was scanned, 0 not known
	damaged int           // the first picture that was found lost, -1 none

	player *player
	sound  *soundReader
	once   sync.Once
}

// Open opens a file. It returns as soon as the first pictures can be shown; the
// scan of the index runs on. The error is one plain sentence and wraps one of the
// errors of this package.
func Open(ctx context.Context, path string, o Options) (*Clip, error) {
	p := o.deadline
	if p == nil {
		p = newDeadline(path)
	}
	var c *Clip
	var failed error
	err := p.tryOpening(ctx, func() { c, failed = open(ctx, path, o, p) }, func() {
		if c != nil {
			c.Close()
		}
	})
	if err != nil {
		return nil, err
	}
	return c, failed
}

func open(ctx context.Context, path string, o Options, p *deadline) (*Clip, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if stream, ok := o.Index.of(o.Video); ok {
		p.watch.End(o.Index.first)
		c := newClip(p, stream, o.Index.facts)
		c.index.Store(o.Index)
		c.player = newPlayer(c, nil, o.Threads)
		c.sound = newSoundReader(c.ctx, p, c.facts.Streams, o.Sound)
		c.sound.clock = c
		c.info.Sounds, c.info.ChosenSound = c.sound.knows(c.facts.Firsts, o.Index.FileSeconds(0))
		return c, nil
	}
	return discover(ctx, path, o, p)
}

func newClip(p *deadline, stream av.Stream, f *facts) *Clip {
	c := &Clip{deadline: p, look: av.LookOf(stream), stream: stream, facts: f, grown: make(chan struct{}), damaged: -1}
	c.info = describe(f, stream, c.look)
	c.scanned, _ = p.size()
	c.ctx, c.cancel = context.WithCancel(context.Background())
	return c
}

// header is a file opened for its list of packets.
type header struct {
	src *av.Source // nil where it has none
	err error
}

// discover opens a file of which nothing is known. Its header is read twice at the
// same time, for pictures and for the list of packets: one reading is long enough
// in a long film.
func discover(ctx context.Context, path string, o Options, p *deadline) (c *Clip, err error) {
	if _, err := bounds(path, p.watch, false); err != nil {
		return nil, unreadable(path)
	}
	headers := make(chan header, 1)
	go func() {
		src, err := p.watch.OpenHeader(path)
		headers <- header{src, err}
	}()
	taken := false
	defer func() {
		if taken {
			return
		}
		go func() {
			if h := <-headers; h.src != nil {
				h.src.Close()
			}
		}()
	}()
	src, err := p.watch.OpenSource(path)
	if err != nil {
		return nil, unreadable(path)
	}
	if strings.HasSuffix(src.Format(), "_pipe") { // FFmpeg's readers of single pictures
		src.Close()
		return nil, problemf(ErrNoVideo, "%q is a single picture, not a film: choose a film file.", path)
	}
	stream, ok := chooseVideo(src.Streams(), o.Video)
	if !ok {
		src.Close()
		return nil, noVideo(path, src.Streams())
	}
	if stream.Width <= 0 || stream.Height <= 0 {
		src.Close()
		return nil, noPicture(path)
	}
	f := factsOf(src, stream)
	if src.Format() == av.ISOMedia {
		if err := withFile(path, p.watch, func(file watchedFile, size int64) { f.Edits = editsOf(file, size, stream.Index) }); err != nil {
			src.Close()
			return nil, unreadable(path)
		}
	}
	c = newClip(p, stream, f)
	c.index.Store(&Index{base: stream.Base})
	made := c
	defer func() {
		if err != nil {
			made.Close()
		}
	}()
	if x := o.Index; x != nil && x.Complete && x.Len() > 0 && x.facts == nil && x.base == stream.Base {
		c.index.Store(x)
	} else {
		taken = true
		c.running.Add(1)
		go c.scan(headers)
	}
	c.sound = newSoundReader(c.ctx, p, f.Streams, o.Sound)
	c.sound.clock = c
	f.Firsts = c.sound.firsts(ctx, src)
	c.jumps = src.ByteSeekable()
	src.Choose(stream.Index)
	cur, err := newCursor(src, o.Threads, c.knowing, c.source)
	if err != nil {
		src.Close()
		return nil, problemf(ErrNoVideo, "The video in %q cannot be decoded (%v): convert it to H.264 first.", path, err)
	}
	c.player = newPlayer(c, cur, o.Threads)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	x, err := c.knowingFrame(ctx, 0)
	if err != nil {
		if errors.Is(err, ErrFrame) {
			return nil, noPicture(path)
		}
		if _, told := club.AsProblem(err); ctx.Err() != nil || told {
			return nil, err
		}
		return nil, unreadable(path)
	}
	c.info.Sounds, c.info.ChosenSound = c.sound.knows(f.Firsts, x.FileSeconds(0))
	c.known()
	return c, nil
}

// source opens the file once more for its pictures.
func (c *Clip) source() (*av.Source, error) {
	src, err := c.watch.OpenAgain(c.path, c.facts.Streams)
	if err == nil {
		src.Choose(c.info.Stream)
	}
	return src, err
}

// known hands the facts out with the index, now that they are complete.
func (c *Clip) known() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.told = true
	c.index.Store(c.index.Load().with(c.facts))
}

// damage remembers the first picture that was found lost.
func (c *Clip) damage(n int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.damaged < 0 || n < c.damaged {
		c.damaged = n
	}
}

// trouble makes a sentence of what went wrong after opening.
func (c *Clip) trouble(err error) error {
	if _, told := club.AsProblem(err); told || c.ctx.Err() != nil {
		return err
	}
	if _, gone := c.length(c.ctx); gone != nil {
		return gone
	}
	return problemf(ErrNotMedia, "%q cannot be read here any further (%v): copy it from the camera again.", c.path, err)
}

// Waiting is how long one read has been waiting for the clip's drive, 0 where none
// is.
func (c *Clip) Waiting() time.Duration { return c.watch.Waiting() }

// Index returns the index as far as it is scanned.
func (c *Clip) Index() *Index { return c.index.Load() }

// Indexed waits until the scan is complete and returns why it could not be, if so.
func (c *Clip) Indexed(ctx context.Context) error {
	_, err := c.await(ctx, func(x *Index) bool { return false })
	if err != nil && ctx.Err() == nil {
		return c.trouble(err)
	}
	return err
}

func (c *Clip) scan(headers <-chan header) {
	defer c.running.Done()
	h := <-headers
	err := h.err
	if err == nil {
		err = scanFrom(c.ctx, c.watch, h.src, c.path, c.stream, c.publish)
	}
	now, _ := c.size()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.growing = now > c.scanned
	if err != nil {
		c.scanErr = err
	}
	close(c.grown)
	c.grown = make(chan struct{})
}

func (c *Clip) publish(x *Index) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !x.Complete && x.Len() < c.index.Load().Len() {
		return // a second reading for more entries begins with less than the first had
	}
	if c.told {
		x = x.with(c.facts)
	}
	c.index.Store(x)
	close(c.grown)
	c.grown = make(chan struct{})
}

// await returns the index once it is good enough or complete.
func (c *Clip) await(ctx context.Context, enough func(*Index) bool) (*Index, error) {
	var tick *time.Ticker
	var hurry <-chan time.Time
	for {
		c.mu.Lock()
		x, grown, err := c.index.Load(), c.grown, c.scanErr
		c.mu.Unlock()
		if x.Complete || enough(x) {
			return x, nil
		}
		switch {
		case err != nil && c.ctx.Err() != nil:
			return nil, closed() // closing ended the scan
		case err != nil:
			return nil, err
		}
		if tick == nil {
			tick = time.NewTicker(c.tick())
			defer tick.Stop()
			hurry = tick.C
		}
		select {
		case <-grown:
		case <-hurry:
			if err := c.slow(); err != nil {
				return nil, err
			}
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-c.ctx.Done():
			return nil, closed()
		}
	}
}

// knowing is an index that says what picture a packet makes.
func (c *Clip) knowing(ctx context.Context, packet int) (*Index, error) {
	return c.await(ctx, func(x *Index) bool { return packet < len(x.packets) && x.frame(packet) != unknownFrame })
}

// knowingFrame is an index that has picture n; ErrFrame where the clip has none.
func (c *Clip) knowingFrame(ctx context.Context, n int) (*Index, error) {
	x, err := c.await(ctx, func(x *Index) bool { return n < x.Len() })
	if err == nil && (n < 0 || n >= x.Len()) {
		return nil, problemf(ErrFrame, "There is no frame %d: the clip has frames 0 to %d.", n, x.Len()-1)
	}
	return x, err
}

// JPEG returns picture n at most width pixels wide (0: as shown) as a JPEG file.
// The caller must not change it.
func (c *Clip) JPEG(ctx context.Context, n, width int) ([]byte, error) {
	return c.JPEGField(ctx, n, width, Whole)
}

// Image returns picture n as shown, in full size.
func (c *Clip) Image(ctx context.Context, n int) (*image.RGBA, error) {
	return c.ImageField(ctx, n, Whole)
}

// Samples returns the sound between two times of the clip's clock, mixed to one
// channel, rate samples a second (0: the sound's own rate), and the time of the
// first sample: later than from where the sound begins later. It is shorter than
// asked for where the sound ends earlier, and empty where there is none.
func (c *Clip) Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error) {
	x, err := c.await(ctx, func(x *Index) bool { return !c.jumps || x.EndSeconds() > from })
	if err != nil {
		return nil, from, err
	}
	zero := x.FileSeconds(0)
	samples, first, err = c.sound.samplesInTime(ctx, from+zero, to+zero, rate)
	return samples, first - zero, err
}

// Close stops all work, waits for it and frees everything; more calls do nothing. A
// read that hangs is abandoned after [ReadTimeout] and frees what it holds once it
// returns.
func (c *Clip) Close() error {
	c.once.Do(func() {
		c.cancel()
		done := make(chan struct{})
		go func() {
			defer close(done)
			c.running.Wait()
			if c.player != nil {
				c.player.close()
			}
			if c.sound != nil {
				c.sound.close()
			}
		}()
		_ = c.deadline.wait(context.Background(), done)
	})
	return nil
}
