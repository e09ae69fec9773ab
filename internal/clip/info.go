package clip

import (
	"context"
	"fmt"
	"slices"
	"time"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/timecode"
)

// Sound is one sound stream of a clip.
type Sound struct {
	Stream         int
	Rate, Channels int
	FirstSeconds   float64 // when its first sample sounds, on the clip's clock
	Default        bool
}

// Video is one video stream of a file.
type Video struct {
	Stream        int
	Codec         string
	Width, Height int // as shown
	Default       bool
}

// Info is what is known of a clip once it is open.
type Info struct {
	Width, Height           int // as shown: upright, square pixels
	CodedWidth, CodedHeight int
	Rotation                int // degrees clockwise from coded to shown, after the mirror
	Mirrored                bool
	Stream                  int // of the pictures
	Codec                   string
	Container               string
	Base                    timecode.Base // seconds a tick
	Videos                  []Video
	Sounds                  []Sound   // in file order
	ChosenSound             int       // place in Sounds of the one that Samples gives, -1 none
	Interlaced              bool      // each picture may hold two moments: see Field
	RecordedAt              time.Time // zero where the file does not say
	Capture                 float64   // pictures a second that the camera took, 0 where the file does not say
	Notices                 []string  // sentences that the user should see once
}

// chooseVideo picks the stream asked for, else the default one, else the largest.
func chooseVideo(streams []av.Stream, asked int) (best av.Stream, ok bool) {
	place := 0
	for _, s := range streams {
		if !footage(s) {
			continue
		}
		if place++; place == asked {
			return s, true
		}
		better := !ok || s.Default && !best.Default || s.Default == best.Default && s.Width*s.Height > best.Width*best.Height
		if better {
			best, ok = s, true
		}
	}
	return best, ok
}

// footage reports whether a stream can be stepped through.
func footage(s av.Stream) bool { return s.Kind == av.Video && !s.Cover && s.Known }

func describe(f *facts, s av.Stream, look av.Look) Info {
	i := Info{
		Width: look.Width, Height: look.Height, CodedWidth: s.Width, CodedHeight: s.Height,
		Rotation: 90 * s.Quarter, Mirrored: s.Mirror, Stream: s.Index, Codec: s.Codec, Container: f.Container,
		Base: s.Base, RecordedAt: f.Recorded, Interlaced: s.Interlaced, Capture: f.Capture, ChosenSound: -1,
	}
	for _, v := range f.Streams {
		if footage(v) {
			l := av.LookOf(v)
			i.Videos = append(i.Videos, Video{v.Index, v.Codec, l.Width, l.Height, v.Default})
		}
	}
	return i
}

// Recorded is when a film was recorded by the camera's clock, as [Info] has it: with
// its zone where the camera wrote one, else in UTC; zero where the file does not
// say. Nothing but the file's header is read. The error is as of [Open].
func Recorded(ctx context.Context, path string) (time.Time, error) {
	return newDeadline(path).recorded(ctx)
}

func (p *deadline) recorded(ctx context.Context) (at time.Time, err error) {
	type answer struct {
		at  time.Time
		err error
	}
	answered := make(chan answer, 1)
	if err := p.try(ctx, func() {
		at, err := p.noted()
		answered <- answer{at, err}
	}); err != nil {
		return time.Time{}, err
	}
	a := <-answered
	return a.at, a.err
}

func (p *deadline) noted() (time.Time, error) {
	if err := p.check(); err != nil {
		return time.Time{}, err
	}
	src, err := p.watch.OpenNotes(p.path)
	if err != nil {
		return time.Time{}, unreadable(p.path)
	}
	defer src.Close()
	return recorded(src), nil
}

// recorded is the time of recording: with its zone where the camera wrote one,
// else as the header has it, in UTC.
func recorded(src *av.Source) time.Time {
	for _, note := range []struct{ key, layout string }{
		{"com.apple.quicktime.creationdate", "2006-01-02T15:04:05-0700"},
		{"creation_time", time.RFC3339Nano},
	} {
		if t, err := time.Parse(note.layout, src.Note(note.key)); err == nil && t.Year() > 1971 {
			return t
		}
	}
	return time.Time{}
}

// Info returns what is known of the clip; its notices grow as damage is found.
func (c *Clip) Info() Info {
	c.mu.Lock()
	defer c.mu.Unlock()
	i := c.info
	i.Interlaced = i.Interlaced || c.woven.Load()
	x := c.index.Load()
	if c.damaged >= 0 {
		i.Notices = append(slices.Clip(i.Notices), fmt.Sprintf("This clip is damaged at frame %d: where a picture is lost, the one before it is shown.", c.damaged))
	}
	if x.Broken && !c.growing {
		i.Notices = append(slices.Clip(i.Notices), fmt.Sprintf("This film is broken off from frame %d on: its file ends there. Copy it from the camera again if it is whole there.", x.Len()))
	}
	if say := c.facts.Edits.odd(); say != "" {
		i.Notices = append(slices.Clip(i.Notices), say)
	}
	if x.first > 0 {
		i.Notices = append(slices.Clip(i.Notices), "This file holds more behind the end of its film, as where two films were joined end to end: only the first is shown.")
	}
	if c.growing {
		i.Notices = append(slices.Clip(i.Notices), "This recording is still being written: open it again later for the rest of it.")
	}
	return i
}
