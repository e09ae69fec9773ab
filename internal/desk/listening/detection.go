package listening

import (
	"context"
	"errors"
	"fmt"
	"math"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// Found are the contacts of one file.
type Found []contact.Contact

// Unsure reports whether the sound does not tell which of two sounds is the racket's.
func (f Found) Unsure() bool { return contact.Unsure(f) }

// Detect finds the contacts in the sound of a file: on clip time in a clip, from
// the first sample in a sound file. It calls progress, which may be nil, with the
// seconds done of all; all is 0 where it is not known.
func Detect(ctx context.Context, path string, progress func(done, all float64)) (Found, error) {
	found, _, err := Hear(ctx, path, progress)
	return found, err
}

// Hear is Detect, and how loud the sound was: the highest sample, 0 to 1, of each hundredth
// of a second from 0 on.
func Hear(ctx context.Context, path string, progress func(done, all float64)) (Found, []float32, error) {
	start, end, err := soundOf(ctx, path)
	if err != nil {
		return nil, nil, err
	}
	sound, err := clip.OpenSound(ctx, path, 0)
	if err != nil {
		return nil, nil, err
	}
	defer sound.Close()
	h, err := newDetection(sound, sound.Rate(), start)
	if err != nil {
		return nil, nil, err
	}
	for more := true; more; {
		if more, err = h.step(ctx); err != nil {
			return nil, nil, err
		}
		if progress != nil && more {
			progress(h.at, max(0, end-start))
		}
	}
	h.finish()
	return h.contacts, h.peaks.between(0, float64(len(h.peaks))/peaksPerSecond, len(h.peaks)), nil
}

// soundOf tells where on clip time the sound of a file begins, and when the clip
// ends; both are 0 for a file without pictures.
func soundOf(ctx context.Context, path string) (start, end float64, err error) {
	film, err := clip.Open(ctx, path, clip.Options{})
	if errors.Is(err, clip.ErrNoVideo) {
		return 0, 0, nil
	}
	if err != nil {
		return 0, 0, err
	}
	defer film.Close()
	info := film.Info()
	if info.ChosenSound < 0 {
		return 0, 0, &club.Problem{Field: "file", Say: fmt.Sprintf("There is no sound in %q: contacts cannot be heard in it.", path)}
	}
	if err := film.Indexed(ctx); err != nil {
		return 0, 0, err
	}
	return info.Sounds[info.ChosenSound].FirstSeconds, film.Index().EndSeconds(), nil
}

// sampler is what gives sound piece by piece, from 0 on.
type sampler interface {
	Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error)
}

// detection passes a sound through a detector, a piece at a time, and keeps how
// loud it was. Any time may pass between two steps.
type detection struct {
	from     sampler
	rate     int
	detector *contact.Detector
	start    float64 // clip time of the sound's beginning
	at       float64 // seconds heard so far

	contacts []contact.Contact // what is certain, on clip time
	sounds   []contact.Sound   // of all that was written, on clip time
	peaks    wave              // on clip time
}

const (
	pieceSeconds = 10.   // read at once
	highestRate  = 48000 // samples a second: above it nothing more is told apart
)

func newDetection(from sampler, rate int, start float64) (*detection, error) {
	rate = max(contact.MinRate, min(highestRate, rate))
	d, err := contact.NewDetector(rate)
	if err != nil {
		return nil, err
	}
	d.KeepSounds()
	return &detection{from: from, rate: rate, detector: d, start: start}, nil
}

// step hears the next piece; more is false where there is none.
func (h *detection) step(ctx context.Context) (more bool, err error) {
	samples, first, err := h.from.Samples(ctx, h.at, h.at+pieceSeconds, h.rate)
	if err != nil || len(samples) == 0 {
		return false, err
	}
	h.take(h.detector.Write(samples))
	h.peaks.add(samples, h.start+first, h.rate)
	h.at = first + float64(len(samples))/float64(h.rate)
	return true, nil
}

// finish ends the sound: all contacts are certain.
func (h *detection) finish() { h.take(h.detector.Finish()) }

func (h *detection) take(found []contact.Contact) {
	for _, c := range found {
		c.Seconds += h.start
		h.contacts = append(h.contacts, c)
	}
	for _, s := range h.detector.Sounds() {
		s.Seconds += h.start
		h.sounds = append(h.sounds, s)
	}
}

// certain is the clip time before which all contacts are known.
func (h *detection) certain() float64 {
	if len(h.contacts) == 0 {
		return math.Inf(-1)
	}
	return h.contacts[len(h.contacts)-1].Seconds
}
