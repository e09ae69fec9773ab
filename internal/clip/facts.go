package clip

import (
	"encoding/json"
	"math"
	"time"

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

// encode is the kept form: empty where there are no facts.
func (f *facts) encode() []byte {
	if f == nil {
		return nil
	}
	b, err := json.Marshal(f)
	if err != nil {
		return nil // a year that JSON has no form for: the next opening looks again
	}
	return b
}

// decodeFacts reads what encode wrote; nil where there is nothing that can be
// relied on.
func decodeFacts(b []byte) *facts {
	f := new(facts)
	if json.Unmarshal(b, f) != nil || !f.plausible() {
		return nil
	}
	return f
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
