package clip

import (
	"maps"
	"math"
	"slices"
	"time"

	"strokeledger/internal/cache"
	"strokeledger/internal/clip/av"
)

// facts is what a file says of itself, found out when it was opened first and kept
// with its index, so that a later opening need not look again. It never changes
// once made.
type facts struct {
	Container string
	Streams   []av.Stream
	Chosen    int // the stream whose pictures the index lists
	Recorded  time.Time
	Capture   float64 // pictures a second that the camera took, 0 where the file does not say
	Edits     edits
	Firsts    map[int]float64 // when the first sample of each sound stream that can be decoded sounds, on the file's own clock
}

func factsOf(src *av.Source, stream av.Stream) *facts {
	return &facts{Container: src.Format(), Streams: src.Streams(), Chosen: stream.Index, Recorded: recorded(src), Capture: captured(src)}
}

// largest is the longest side of a picture that kept facts may claim, in pixels.
const largest = 1 << 16

// plausible reports whether facts that were read can be relied on.
func (f *facts) plausible() bool {
	for i, s := range f.Streams {
		if s.Index != i || !s.Base.Valid() || s.Width < 0 || s.Width > largest || s.Height < 0 || s.Height > largest || s.Quarter < 0 || s.Quarter > 3 || s.Rate < 0 || s.Channels < 0 {
			return false
		}
	}
	for i, t := range f.Firsts {
		if i < 0 || i >= len(f.Streams) || math.Abs(t) > 1e12 {
			return false
		}
	}
	return f.Chosen >= 0 && f.Chosen < len(f.Streams) && footage(f.Streams[f.Chosen])
}

// fields are what is kept.
func (f *facts) fields(c cache.Fields) {
	cache.Text(c, &f.Container)
	cache.List(c, &f.Streams, func(s *av.Stream) { streamFields(c, s) })
	cache.Whole(c, &f.Chosen)
	cache.Moment(c, &f.Recorded)
	cache.Decimal(c, &f.Capture)
	cache.Whole(c, &f.Edits.Stretches)
	cache.Truth(c, &f.Edits.Rates)
	type first struct {
		stream int
		at     float64
	}
	var firsts []first
	for _, i := range slices.Sorted(maps.Keys(f.Firsts)) {
		firsts = append(firsts, first{i, f.Firsts[i]})
	}
	cache.List(c, &firsts, func(o *first) {
		cache.Whole(c, &o.stream)
		cache.Decimal(c, &o.at)
	})
	if c.Reading() && len(firsts) > 0 {
		f.Firsts = make(map[int]float64, len(firsts))
		for _, o := range firsts {
			f.Firsts[o.stream] = o.at
		}
	}
}

func streamFields(c cache.Fields, s *av.Stream) {
	cache.Text(c, &s.Codec)
	cache.Whole(c, &s.Kind)
	for _, v := range []*bool{&s.Known, &s.Cover, &s.Default, &s.Mirror, &s.Progressive, &s.Interlaced, &s.Fields, &s.Plain} {
		cache.Truth(c, v)
	}
	for _, v := range []*int64{&s.Base.Num, &s.Base.Den, &s.Start} {
		cache.Whole(c, v)
	}
	for _, v := range []*int{
		&s.Index, &s.Width, &s.Height, &s.PixelNum, &s.PixelDen, &s.Quarter, &s.Delay, &s.FrameNum, &s.FrameDen, &s.Rate, &s.Channels,
		&s.Colour.Matrix, &s.Colour.Range, &s.Colour.Transfer, &s.Colour.Primaries,
	} {
		cache.Whole(c, v)
	}
}

// of reports whether the index is complete and of the video that is asked for, and
// has the facts to open a clip by.
func (x *Index) of(video int) (av.Stream, bool) {
	if x == nil || !x.Complete || x.Len() == 0 || x.facts == nil {
		return av.Stream{}, false
	}
	s, ok := chooseVideo(x.facts.Streams, video)
	return s, ok && s.Index == x.facts.Chosen && s.Base == x.base
}

// with is the same index with facts.
func (x *Index) with(f *facts) *Index {
	if x.facts == f {
		return x
	}
	y := *x
	y.facts = f
	return &y
}
