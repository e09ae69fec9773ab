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

// Hear finds the contacts in the sound of a file: on clip time in a clip, from
// the first sample in a sound file. It calls heard, which may be nil, with the
// seconds done of all; all is 0 where nobody knows.
func Hear(ctx context.Context, path string, heard func(done, all float64)) ([]contact.Contact, error) {
	start, end, err := soundOf(ctx, path)
	if err != nil {
		return nil, err
	}
	sound, err := clip.OpenSound(ctx, path, 0)
	if err != nil {
		return nil, err
	}
	defer sound.Close()
	h, err := newHearer(sound, sound.Rate(), start)
	if err != nil {
		return nil, err
	}
	for more := true; more; {
		if more, err = h.step(ctx); err != nil {
			return nil, err
		}
		if heard != nil && more {
			heard(h.at, max(0, end-start))
		}
	}
	h.finish()
	return h.contacts, nil
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
	if info.Heard < 0 {
		return 0, 0, &club.Problem{Field: "file", Say: fmt.Sprintf("There is no sound in %q: contacts cannot be heard in it.", path)}
	}
	if err := film.Indexed(ctx); err != nil {
		return 0, 0, err
	}
	return info.Sounds[info.Heard].FirstSeconds, film.Index().EndSeconds(), nil
}

// listened is what gives sound piece by piece, from 0 on.
type listened interface {
	Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error)
}

// hearer passes a sound through a detector, a piece at a time, and keeps how loud
// it was. It may rest between two steps for as long as it likes.
type hearer struct {
	from     listened
	rate     int
	detector *contact.Detector
	start    float64 // clip time of the sound's beginning
	at       float64 // seconds heard so far

	contacts []contact.Contact // what is certain, on clip time
	peaks    wave              // on clip time
}

const (
	pieceSeconds = 10.   // read at once
	highestRate  = 48000 // samples a second: above it nothing more is told apart
)

func newHearer(from listened, rate int, start float64) (*hearer, error) {
	rate = max(contact.MinRate, min(highestRate, rate))
	d, err := contact.NewDetector(rate)
	if err != nil {
		return nil, err
	}
	return &hearer{from: from, rate: rate, detector: d, start: start}, nil
}

// step hears the next piece; more is false where there is none.
func (h *hearer) step(ctx context.Context) (more bool, err error) {
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
func (h *hearer) finish() { h.take(h.detector.Finish()) }

func (h *hearer) take(found []contact.Contact) {
	for _, c := range found {
		c.Seconds += h.start
		h.contacts = append(h.contacts, c)
	}
}

// certain is the clip time before which all contacts are known.
func (h *hearer) certain() float64 {
	if len(h.contacts) == 0 {
		return math.Inf(-1)
	}
	return h.contacts[len(h.contacts)-1].Seconds
}
