package clip

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"strokeledger/internal/clip/av"
)

// soundReader decodes the sound of a clip. Times are seconds of the file's own clock. Safe
// for concurrent use: one caller after the other.
type soundReader struct {
	closing context.Context // done when the clip is closing
	*deadline
	file    []av.Stream // all that is in it
	streams []av.Stream // those with sound
	chosen  int         // place in streams, -1 none
	clock   clock       // of the pictures, may be nil
	asked   int         // place among the sounds that can be heard, from 1; 0 the default

	mu      sync.Mutex
	first   float64 // time of the first sample; NaN before it is known
	src     *av.Source
	end     int64 // where the film was thought to end in its file when src was opened
	decoder *av.SoundDecoder
	rate    int
	buffer  []float32 // decoded and not yet passed over
	start   float64   // time of buffer[0]
	shift   float64   // seconds that the file's clock has been set back where the source reads
	told    float64   // the same as the pictures around say, which may be early or late by some blocks
	whole   bool      // the buffer begins with the first sample of all
	dry     bool      // nothing more comes
	ended   bool      // the decoder was told so
}

// clock knows where the pictures stand in a file whose own clock starts anew inside
// it, as where recordings were joined.
type clock interface {
	// place is the byte at which to read for a time of the first part's clock; false
	// where the file's clock leads there.
	place(seconds float64) (pos int64, ok bool)
	// behind is how many seconds the file's clock was set back before a byte.
	behind(pos int64) float64
}

func newSoundReader(closing context.Context, p *deadline, streams []av.Stream, asked int) *soundReader {
	e := &soundReader{closing: closing, deadline: p, file: streams, chosen: -1, asked: asked, first: math.NaN()}
	for _, s := range streams {
		if s.Kind != av.Sound || !s.Known {
			continue
		}
		e.streams = append(e.streams, s)
		at := len(e.streams) - 1
		if e.chosen < 0 || s.Default && !e.streams[e.chosen].Default {
			e.chosen = at
		}
	}
	return e
}

// firsts finds the time of the first sample of each sound stream by decoding it;
// streams of which nothing can be decoded are absent. It reads from a source of
// which nothing was read so far, and leaves that anywhere.
func (e *soundReader) firsts(ctx context.Context, src *av.Source) map[int]float64 {
	firsts := map[int]float64{}
	for i, s := range e.streams {
		from := src
		if i > 0 { // its first packet may have been passed already
			var err error
			if from, err = e.watch.OpenAgain(e.path, e.file); err != nil {
				continue
			}
		}
		if at := firstOf(ctx, from, s); !math.IsNaN(at) {
			firsts[s.Index] = at
		}
		if i > 0 {
			from.Close()
		}
	}
	return firsts
}

// firstOf is the time of the first sample of a stream, NaN where there is none.
func firstOf(ctx context.Context, src *av.Source, s av.Stream) float64 {
	defer context.AfterFunc(ctx, src.Stop)()
	src.Choose(s.Index)
	h, err := av.NewSoundDecoder(src, s.Rate)
	if err != nil {
		return math.NaN()
	}
	defer h.Close()
	var samples []float32
	for {
		_, err := src.Next()
		if err != nil {
			return math.NaN()
		}
		if h.Feed(src) != nil {
			continue
		}
		for err == nil {
			var at int64
			samples, at, err = h.Receive(samples[:0])
			if err == nil && at != av.NoTime {
				return s.Base.Seconds(at)
			}
		}
	}
}

// knows tells when each sound begins, and lists the streams with times on a clock
// that is zero at the given time.
func (e *soundReader) knows(firsts map[int]float64, zero float64) ([]Sound, int) {
	var list []Sound
	chosen := -1
	for i, s := range e.streams {
		first, ok := firsts[s.Index]
		if !ok {
			continue
		}
		if len(list)+1 == e.asked {
			e.chosen = i
		}
		if i == e.chosen {
			chosen, e.first = len(list), first
		}
		list = append(list, Sound{s.Index, s.Rate, s.Channels, first - zero, s.Default})
	}
	return list, chosen
}

// lead is how long before the wanted sample decoding begins: the coders overlap
// their blocks, and the first output of a resampler is wrong.
const lead = 0.3

// samplesInTime is samples, given up where the drive hangs.
func (e *soundReader) samplesInTime(ctx context.Context, from, to float64, rate int) ([]float32, float64, error) {
	type decoded struct {
		samples []float32
		first   float64
		err     error
	}
	made := make(chan decoded, 1)
	err := e.try(ctx, func() {
		var s decoded
		s.samples, s.first, s.err = e.samples(ctx, from, to, rate)
		made <- s
	})
	if err != nil {
		return nil, from, err
	}
	s := <-made
	return s.samples, s.first, s.err
}

// samples returns what sounds between two times and the time of its first sample.
func (e *soundReader) samples(ctx context.Context, from, to float64, rate int) ([]float32, float64, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if err := e.left(ctx); err != nil {
		return nil, from, err
	}
	if e.chosen < 0 || math.IsNaN(e.first) || !(to > from) {
		return nil, from, nil
	}
	if rate <= 0 {
		rate = e.streams[e.chosen].Rate
	}
	from = max(from, e.first)
	if to <= from {
		return nil, from, nil
	}
	if err := e.open(rate); err != nil {
		return nil, from, err
	}
	if reach := e.start + float64(len(e.buffer))/float64(rate); math.IsNaN(e.start) || from < e.start || from > reach+2 {
		if err := e.move(ctx, from); err != nil {
			return nil, from, err
		}
	}
	for !e.dry && (math.IsNaN(e.start) || e.start+float64(len(e.buffer))/float64(rate) < to) {
		if err := e.left(ctx); err != nil {
			return nil, from, err
		}
		if err := e.more(); err != nil {
			return nil, from, err
		}
		e.discard(from)
	}
	if math.IsNaN(e.start) {
		return nil, from, nil
	}
	a := max(0, int(math.Round((from-e.start)*float64(rate))))
	b := min(len(e.buffer), int(math.Round((to-e.start)*float64(rate))))
	if a >= b {
		return nil, from, nil
	}
	return append([]float32(nil), e.buffer[a:b]...), e.start + float64(a)/float64(rate), nil
}

// left says why a request is of no use any longer, nil where it is.
func (e *soundReader) left(ctx context.Context) error {
	if e.closing.Err() != nil {
		return closed()
	}
	return ctx.Err()
}

// discard drops from the buffer what lies well before a time.
func (e *soundReader) discard(before float64) {
	if math.IsNaN(e.start) {
		return
	}
	n := min(len(e.buffer), int((before-e.start)*float64(e.rate))-e.rate)
	if n > e.rate {
		e.buffer = append(e.buffer[:0], e.buffer[n:]...)
		e.start += float64(n) / float64(e.rate)
	}
}

// open makes the decoder, or makes it anew for another rate.
func (e *soundReader) open(rate int) error {
	end := e.watch.Ends()
	if e.end != end {
		e.closeSource()
	}
	if e.src == nil {
		src, err := e.watch.OpenAgain(e.path, e.file)
		if err != nil {
			return unreadable(e.path)
		}
		src.Choose(e.streams[e.chosen].Index)
		e.src, e.end = src, end
	}
	if e.decoder != nil && e.rate == rate {
		return nil
	}
	if e.decoder != nil {
		e.decoder.Close()
	}
	h, err := av.NewSoundDecoder(e.src, rate)
	if err != nil {
		return fmt.Errorf("sound of %q: %w", e.path, err)
	}
	e.decoder, e.rate = h, rate
	e.forget()
	return nil
}

func (e *soundReader) forget() {
	e.buffer, e.start, e.dry, e.ended = e.buffer[:0], math.NaN(), false, false
}

// move goes to before a time, further back as long as the container lands after
// it.
func (e *soundReader) move(ctx context.Context, to float64) error {
	s := e.streams[e.chosen]
	for back := lead; ; back *= 4 {
		at := to - back
		start := at <= e.first
		if start {
			at = e.first - 1
		}
		err := e.goTo(s, at)
		if err != nil && start {
			err = e.src.SeekTime(s.Start)
		}
		if err != nil && !start {
			continue
		}
		e.decoder.Flush()
		e.forget()
		e.whole = start
		for math.IsNaN(e.start) && !e.dry {
			if err := e.left(ctx); err != nil {
				return err
			}
			if err := e.more(); err != nil {
				return err
			}
		}
		if start || e.start <= to-lead/2 {
			return nil
		}
	}
}

// goTo moves the source to a time.
func (e *soundReader) goTo(s av.Stream, at float64) error {
	e.told = 0
	if e.clock != nil && e.src.ByteSeekable() {
		if pos, ok := e.clock.place(at); ok {
			return e.src.SeekByte(pos)
		}
	}
	return e.src.SeekTime(s.Base.Ticks(at))
}

// more decodes some more sound to the end of the buffer.
func (e *soundReader) more() error {
	s := e.streams[e.chosen]
	for {
		var at int64
		var err error
		had := len(e.buffer)
		e.buffer, at, err = e.decoder.Receive(e.buffer)
		switch {
		case at != av.NoTime && !math.IsNaN(e.start):
			e.bridge(had, s.Base.Seconds(at))
		case len(e.buffer) == had || !math.IsNaN(e.start):
		case at != av.NoTime:
			e.start, e.shift = s.Base.Seconds(at)+e.told, e.told
		case e.whole:
			e.start, e.shift = e.first, 0
		default:
			e.buffer = e.buffer[:had] // nobody knows when these sound
		}
		switch {
		case errors.Is(err, av.ErrEnd):
			e.dry = true
			return nil
		case err == nil:
			return nil
		}
		if p, err := e.src.Next(); errors.Is(err, av.ErrEnd) {
			if e.ended {
				e.dry = true
				return nil
			}
			e.ended = true
			e.decoder.Drain()
		} else if err != nil {
			return err
		} else {
			if e.clock != nil && p.Pos >= 0 {
				e.told = e.clock.behind(p.Pos)
			}
			_ = e.decoder.Feed(e.src) // a damaged packet is silence
		}
	}
}

// slip is by how much the sound may stray from the times that the file gives before
// it is put right: containers round times to a millisecond, and recorders let them
// drift a little. Where reading begins inside a block, the first ones may come with
// the times of others, so later ones count until the first samples are returned.
const slip = 0.02

// bridge puts silence where the file has a hole, before the samples from place had
// on, which begin at a time of the file's clock. Where they begin before the end of those that came
// before, as much of them is left out.
func (e *soundReader) bridge(had int, at float64) {
	expected := e.start + float64(had)/float64(e.rate)
	if math.Abs(at+e.told-expected) < math.Abs(at+e.shift-expected) {
		e.shift = e.told
	}
	hole := at + e.shift - expected
	if !e.whole && had < int(lead/2*float64(e.rate)) && math.Abs(hole) < 2*slip {
		e.start += hole
		return
	}
	if math.Abs(hole) < slip || hole > 3600 || hole < -lead {
		return
	}
	n := int(math.Round(hole * float64(e.rate)))
	if n < 0 {
		e.buffer = slices.Delete(e.buffer, had, min(had-n, len(e.buffer)))
		return
	}
	e.buffer = slices.Insert(e.buffer, had, make([]float32, n)...)
}

func (e *soundReader) close() {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.closeSource()
}

func (e *soundReader) closeSource() {
	if e.decoder != nil {
		e.decoder.Close()
		e.decoder = nil
	}
	if e.src != nil {
		e.src.Close()
		e.src = nil
	}
}
