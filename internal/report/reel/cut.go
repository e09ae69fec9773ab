package reel

import (
	"context"
	"image"
	"image/draw"
	"slices"

	"strokeledger/internal/clip/av"
)

// cutter makes strips of pieces. Its goroutine makes film pictures, the film's appends them.
type cutter struct {
	Options
	band    int // pixels below the pictures
	fit     *av.Fitter
	strips  chan strip
	made    int // pictures sent
	exposed int // pictures appended; the film's goroutine
}

// mostKept is how many pictures of a moment wait in memory for its repetition;
// where there are more, the clip is decoded twice. One of 1080 lines takes 3 MB.
const mostKept = 64

// opened is a piece with its clip open.
type opened struct {
	Piece
	footage Footage
	plan    plan
	beside  *besides // nil: no other clip
	release func()
}

// look is how the piece's pictures are shown.
func (p opened) look() av.Look { return p.footage.Shown(p.Shown).Cut(p.Part, 0) }

func (c *cutter) cut(ctx context.Context, pieces []Piece) error {
	// The next clip is opened while this one is cut.
	open := make(chan opened, 1)
	failed := make(chan error, 1)
	ctx, stop := context.WithCancel(ctx)
	defer func() {
		stop()
		for p := range open {
			p.release()
		}
	}()
	go func() {
		defer close(open)
		for _, p := range pieces {
			one, err := c.open(ctx, p)
			if err != nil {
				failed <- err
				return
			}
			select {
			case open <- one:
			case <-ctx.Done():
				one.release()
				return
			}
		}
		failed <- nil
	}()
	seen, pictures := 0, 0
	for p := range open {
		seen, pictures = seen+1, pictures+p.plan.pictures()
		total := pictures + (len(pieces)-seen)*pictures/seen
		err := c.piece(ctx, p, total)
		p.release()
		if err != nil {
			return err
		}
	}
	if err := context.Cause(ctx); err != nil {
		return err
	}
	if err := <-failed; err != nil {
		return err
	}
	return c.card(ctx)
}

func (c *cutter) open(ctx context.Context, p Piece) (opened, error) {
	f, x, release, err := p.Source(ctx)
	if err != nil {
		return opened{}, err
	}
	one := opened{Piece: p, footage: f, release: release}
	if p.Beside != nil {
		if err := c.openBeside(ctx, &one, x); err != nil {
			release()
			return opened{}, err
		}
	}
	one.plan = newPlan(one.Piece, x, c.Options)
	if b := one.beside; b != nil {
		one.plan.stand(b.Drawn, b.of)
	}
	return one, nil
}

// piece sends one piece: its sound, its pictures, then the moment again.
func (c *cutter) piece(ctx context.Context, p opened, total int) error {
	if p.plan.pictures() == 0 {
		return nil
	}
	if err := c.sound(ctx, p); err != nil {
		return err
	}
	drawn := c.drawn(p)
	caption := []*av.Overlay{c.Letters.caption(p.Caption, c.Width, c.Height, c.band)}
	var repeated map[int]*av.FilmPicture // kept for the repetition
	defer func() {
		for _, picture := range repeated {
			picture.Close()
		}
	}()
	together := distinct(p.plan.slow) <= mostKept
	if together {
		repeated = map[int]*av.FilmPicture{}
	}
	err := c.roll(ctx, p, together, func(n int, picture *av.FilmPicture) error {
		s := strip{picture: picture, lay: append(drawn(n, false), caption...), times: count(p.plan.plain, n), last: true, total: total}
		if together && slices.Contains(p.plan.slow, n) {
			repeated[n], s.last = picture, false
		}
		return c.send(ctx, s)
	})
	if err != nil || len(p.plan.slow) == 0 {
		return err
	}
	tag := c.Letters.tag(c.Slow, c.Width, c.Height, c.band)
	lay := func(n int) []*av.Overlay { return append(drawn(n, true), tag) }
	if together {
		return c.repeat(ctx, p, repeated, lay, total)
	}
	// Too many to keep: decode them once more, one at a time.
	first, last := p.plan.slow[0], p.plan.slow[len(p.plan.slow)-1]
	fit, end := c.fitting(ctx, p, first, last)
	defer end()
	return p.footage.Roll(ctx, first, last, func(n int, pic *av.Picture) error {
		if !slices.Contains(p.plan.slow, n) {
			return nil
		}
		picture, err := fit(n, pic)
		if err != nil {
			return err
		}
		one := map[int]*av.FilmPicture{n: picture}
		err = c.repeat(ctx, p, one, func(n int) []*av.Overlay { return append(append(drawn(n, false), caption...), lay(n)...) }, total)
		one[n].Close()
		return err
	})
}

// roll decodes what the plan shows at full speed, and the moment too where it is to
// be kept, and hands on a film picture of each frame that is shown, in order. The film pictures are
// use's, also where it fails.
func (c *cutter) roll(ctx context.Context, p opened, together bool, use func(n int, picture *av.FilmPicture) error) error {
	wanted := map[int]bool{}
	for _, n := range p.plan.plain {
		wanted[n] = true
	}
	if together {
		for _, n := range p.plan.slow {
			wanted[n] = true
		}
	}
	if len(wanted) == 0 {
		return nil
	}
	first, last := -1, -1
	for n := range wanted {
		if first < 0 || n < first {
			first = n
		}
		last = max(last, n)
	}
	fit, end := c.fitting(ctx, p, first, last)
	defer end()
	return p.footage.Roll(ctx, first, last, func(n int, pic *av.Picture) error {
		if !wanted[n] {
			return nil
		}
		picture, err := fit(n, pic)
		if err != nil {
			return err
		}
		return use(n, picture)
	})
}

// repeat sends those pictures of the moment that are there, in order, each with what lay
// says, and lets them go.
func (c *cutter) repeat(ctx context.Context, p opened, pictures map[int]*av.FilmPicture, lay func(n int) []*av.Overlay, total int) error {
	for i := 0; i < len(p.plan.slow); {
		n := p.plan.slow[i]
		run := i
		for run < len(p.plan.slow) && p.plan.slow[run] == n {
			run++
		}
		picture := pictures[n]
		if picture == nil {
			i = run
			continue
		}
		delete(pictures, n)
		s := strip{picture: picture, lay: lay(n), times: run - i, last: true, total: total}
		if p.plan.still[n] {
			s.times += p.plan.times - 1
		}
		if err := c.send(ctx, s); err != nil {
			return err
		}
		i = run
	}
	return nil
}

// send gives a strip to the film; where that is over, it lets the film picture go.
func (c *cutter) send(ctx context.Context, s strip) error {
	select {
	case c.strips <- s:
		c.made += s.times
		return nil
	case <-ctx.Done():
		if s.last {
			s.picture.Close()
		}
		return context.Cause(ctx)
	}
}

// card sends what stands at the end.
func (c *cutter) card(ctx context.Context) error {
	if len(c.Closing) == 0 || c.made == 0 {
		return nil
	}
	times := int(cardSeconds/c.Rate.Seconds(1) + 0.5)
	if err := c.send(ctx, strip{sound: make([]float32, c.samples(times))}); err != nil {
		return err
	}
	picture, err := c.fit.Blank()
	if err != nil {
		return err
	}
	return c.send(ctx, strip{picture: picture, lay: []*av.Overlay{c.Letters.card(c.Closing, c.Width, c.Height+c.band)}, times: times, last: true, total: c.made + times})
}

// samples is how many samples belong to the next pictures.
func (c *cutter) samples(pictures int) int {
	return samplesBefore(c.made+pictures, c.Rate) - samplesBefore(c.made, c.Rate)
}

// fade is how many samples a cut takes to become silent, so that it does not click.
const fade = soundRate / 200

// sound sends the sound of a piece: what was heard, and silence under the repeated
// moment.
func (c *cutter) sound(ctx context.Context, p opened) error {
	all := make([]float32, c.samples(p.plan.pictures()))
	mixed := all[:c.samples(len(p.plan.plain))]
	if !c.Silent && len(mixed) > 0 {
		got, first, err := p.footage.Samples(ctx, p.plan.first, p.plan.first+float64(len(mixed))/soundRate, soundRate)
		if err != nil {
			return err
		}
		at := int((first-p.plan.first)*soundRate + 0.5)
		if at >= 0 && at < len(mixed) {
			copy(mixed[at:], got)
		} else if at < 0 && -at < len(got) {
			copy(mixed, got[-at:])
		}
		for i := range min(fade, len(mixed)/2) {
			gain := float32(i) / fade
			mixed[i] *= gain
			mixed[len(mixed)-1-i] *= gain
		}
	}
	return c.send(ctx, strip{sound: all})
}

func distinct(frames []int) int {
	seen := map[int]bool{}
	for _, n := range frames {
		seen[n] = true
	}
	return len(seen)
}

func count(frames []int, n int) (times int) {
	for _, f := range frames {
		if f == n {
			times++
		}
	}
	return times
}

// whole is a transparent picture of a film's size.
func whole(width, height int) *image.RGBA { return image.NewRGBA(image.Rect(0, 0, width, height)) }

func fill(img *image.RGBA, r image.Rectangle, src image.Image) {
	draw.Draw(img, r, src, image.Point{}, draw.Over)
}
