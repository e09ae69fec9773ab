package desk

import (
	"context"
	"errors"
	"fmt"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
)

// listened is what gives sound piece by piece: a clip or a plain recording.
type listened interface {
	Samples(ctx context.Context, from, to float64, rate int) (samples []float32, first float64, err error)
}

// Hear finds the contacts in the sound of a file: on clip time in a clip, from
// the first sample in a sound file. It calls heard, which may be nil, with the
// seconds done of all; all is 0 where nobody knows.
func Hear(ctx context.Context, path string, heard func(done, all float64)) ([]contact.Contact, error) {
	film, err := clip.Open(ctx, path, clip.Options{})
	if errors.Is(err, clip.ErrNoVideo) {
		sound, err := clip.OpenSound(ctx, path)
		if err != nil {
			return nil, err
		}
		defer sound.Close()
		return hear(ctx, sound, sound.Rate(), 0, 0, heard)
	}
	if err != nil {
		return nil, err
	}
	defer film.Close()
	info := film.Info()
	if info.Heard < 0 {
		return nil, &club.Problem{Field: "file", Say: fmt.Sprintf("There is no sound in %q: contacts cannot be heard in it.", path)}
	}
	if err := film.Indexed(ctx); err != nil {
		return nil, err
	}
	s := info.Sounds[info.Heard]
	return hear(ctx, film, s.Rate, s.FirstSeconds, film.Index().EndSeconds(), heard)
}

// hear passes the sound from a time on through a detector.
func hear(ctx context.Context, from listened, rate int, start, end float64, heard func(done, all float64)) ([]contact.Contact, error) {
	const (
		piece   = 10.   // seconds read at once
		highest = 48000 // samples a second: above it nothing more is told apart
	)
	rate = max(contact.MinRate, min(highest, rate))
	d, err := contact.NewDetector(rate)
	if err != nil {
		return nil, err
	}
	var all []contact.Contact
	zero, at, known := start, start, false
	for {
		samples, first, err := from.Samples(ctx, at, at+piece, rate)
		if err != nil {
			return nil, err
		}
		if len(samples) == 0 {
			break
		}
		if !known {
			zero, known = first, true
		}
		all = append(all, d.Write(samples)...)
		at = first + float64(len(samples))/float64(rate)
		if heard != nil {
			heard(at-zero, max(0, end-zero))
		}
	}
	all = append(all, d.Finish()...)
	for i := range all {
		all[i].Seconds += zero
	}
	return all, nil
}
