// Package listening passes the sound of clips through the detector of contacts, in the
// background, and keeps what was heard: contacts, how loud it was, and the pauses of
// play.
package listening

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// Listener listens to the clips of a library. It is safe for concurrent use. Who makes
// it closes it.
type Listener struct {
	lib     *library.Library
	footage *footage.Clips
	sounds  sounds
}

// New has heard nothing yet.
func New(lib *library.Library, clips *footage.Clips) *Listener {
	return &Listener{lib: lib, footage: clips}
}

// Close ends every run and gives all files back. The jobs of the library have been
// stopped before.
func (l *Listener) Close() { l.sounds.close() }

// HearingState says how listening to a clip stands.
type HearingState string

const (
	NotHeard  HearingState = ""        // nobody has asked yet
	Listening HearingState = "running" // in the background
	Stopped   HearingState = "stopped" // by a coach; it goes on where it was
	Silent    HearingState = "silent"  // the clip has no sound
	Failed    HearingState = "failed"  // Say has the reason
	AllHeard  HearingState = "done"    // to the end
)

// Hearing tells how far the sound of a clip has been listened to.
type Hearing struct {
	State HearingState `json:"state"`
	Done  float64      `json:"done"` // seconds heard
	All   float64      `json:"all"`  // seconds there are, as far as is known
	Say   string       `json:"say"`  // one sentence where it failed, else empty
}

// soundOfClip is what is known of a clip's sound, from memory or from the cache.
func (l *Listener) soundOfClip(ctx context.Context, row club.Clip) (*sound, error) {
	l.sounds.mu.Lock()
	defer l.sounds.mu.Unlock()
	if i := slices.IndexFunc(l.sounds.all, func(s *sound) bool { return s.clip.ID == row.ID }); i >= 0 {
		s := l.sounds.all[i]
		l.sounds.all = append(slices.Delete(l.sounds.all, i, i+1), s)
		if s.clip.Fingerprint == row.Fingerprint {
			return s, nil
		}
		s.evict() // another file has taken its place
		l.sounds.all = l.sounds.all[:len(l.sounds.all)-1]
	}
	by, err := l.footage.Chosen(ctx, row)
	if err != nil {
		return nil, err
	}
	s := &sound{clip: row, by: by, certain: math.Inf(-1)}
	raw, _, err := l.lib.Heard(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	// A cache that cannot be read is only a cache: listen again.
	if kept, ok := readHeard(raw); ok && kept.by == by {
		s.contacts, s.peaks, s.certain = kept.contacts, kept.peaks, math.Inf(1)
		s.hearing = Hearing{State: AllHeard, Done: row.Seconds, All: row.Seconds}
	}
	l.sounds.all = append(l.sounds.all, s)
	for i := 0; len(l.sounds.all) > heardAtMost && i < len(l.sounds.all)-1; {
		if l.sounds.all[i].busy() {
			i++
			continue
		}
		l.sounds.all[i].evict()
		l.sounds.all = slices.Delete(l.sounds.all, i, i+1)
	}
	return s, nil
}

// Heard tells how far a clip has been listened to.
func (l *Listener) Heard(ctx context.Context, id club.ID) (Hearing, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return Hearing{}, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.hearing, nil
}

// Listen begins to listen to a clip in the background, or goes on where it was
// stopped; what other clips are listened to rests meanwhile. tell is called from
// another goroutine when there is news, a few times a second at most, and once at
// the end. A clip that is heard already is not heard again.
func (l *Listener) Listen(ctx context.Context, id club.ID, tell func(Hearing)) (Hearing, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	var s *sound
	for s == nil || s.gone {
		if s != nil {
			s.mu.Unlock()
		}
		if s, err = l.soundOfClip(ctx, row); err != nil {
			return Hearing{}, err
		}
		l.sounds.haltAllBut(s)
		s.mu.Lock()
	}
	defer s.mu.Unlock()
	if st := s.hearing.State; s.stop != nil || st == AllHeard || st == Silent {
		return s.hearing, nil
	}
	run, done, err := l.lib.Jobs.Begin(context.WithoutCancel(ctx))
	if err != nil {
		return s.hearing, err
	}
	run, s.stop = context.WithCancel(run)
	s.ended = make(chan struct{})
	s.hearing.State, s.hearing.Say = Listening, ""
	go func(ended chan struct{}) {
		defer done()
		defer close(ended)
		h := s.conclude(l.listen(run, s, tell), run.Err() != nil)
		if !l.lib.Jobs.Stopped() {
			tell(h)
		}
	}(s.ended)
	return s.hearing, nil
}

// Stop stops listening to a clip; what was heard stays.
func (l *Listener) Stop(ctx context.Context, id club.ID) (Hearing, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return Hearing{}, err
	}
	s.halt()
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.hearing, nil
}

// listen is one run: to the end, until it is stopped, or until it fails.
func (l *Listener) listen(ctx context.Context, s *sound, tell func(Hearing)) error {
	if s.hearer == nil {
		if err := l.beginHearing(ctx, s); err != nil {
			return err
		}
	}
	const often = 250 * time.Millisecond
	told := time.Now()
	for {
		more, err := s.hearer.step(ctx)
		if err != nil {
			if ctx.Err() == nil { // else it goes on where it was
				s.release() // what the file is now, the next run finds out
			}
			return err
		}
		if !more {
			break
		}
		h := s.publish(s.hearer.certain(), Listening)
		if time.Since(told) > often {
			told = time.Now()
			tell(h)
		}
	}
	s.hearer.finish()
	s.publish(math.Inf(1), AllHeard)
	kept := heardFile{s.by, s.hearer.contacts, s.hearer.peaks}
	err := l.lib.PutHeard(context.WithoutCancel(ctx), s.clip.Fingerprint, kept.bytes())
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a library that is only looked at needs no cache
	}
	return errors.Join(err, s.release())
}

// beginHearing opens the clip's sound by itself, so that playing and stepping do
// not wait for it.
func (l *Listener) beginHearing(ctx context.Context, s *sound) error {
	film, release, err := l.footage.Open(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	defer release()
	info := film.Info()
	if info.Heard < 0 {
		return clip.ErrNoSound
	}
	row, err := l.lib.Clip(ctx, s.clip.ID) // opening may have found it at another place
	if err != nil {
		return err
	}
	open, err := l.footage.OpenSound(ctx, row.Path, info.Heard+1)
	if err != nil {
		return err
	}
	h, err := newHearer(open, open.Rate(), info.Sounds[info.Heard].FirstSeconds)
	if err != nil {
		return errors.Join(err, open.Close())
	}
	s.open, s.hearer = open, h
	return nil
}

// Drop forgets what was heard of a clip, as far as it is in memory. Nobody listens
// to it any more when it returns.
func (l *Listener) Drop(id club.ID) { l.sounds.drop(id) }

// Pause is the pause that is learned from the contacts of a clip.
func (l *Listener) Pause(ctx context.Context, row club.Clip, contacts []contact.Contact) (proposal.Pause, error) {
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return proposal.Pause{}, err
	}
	return s.pause(contacts), nil
}

// Contacts are those of a clip, complete before a clip time.
func (l *Listener) Contacts(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
}

// HearOut listens to a clip to its end.
func (l *Listener) HearOut(ctx context.Context, row club.Clip, heard func(done, all float64)) error {
	_, err := l.Listen(ctx, row.ID, func(h Hearing) {
		if h.State == Listening {
			heard(h.Done, h.All)
		}
	})
	if err != nil {
		return err
	}
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return err
	}
	s.mu.Lock()
	ended := s.ended
	s.mu.Unlock()
	if ended != nil { // else it was heard before
		select {
		case <-ended:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	switch h, err := l.Heard(ctx, row.ID); {
	case err != nil:
		return err
	case h.State == AllHeard:
		return nil
	case h.State == Silent:
		return &club.Problem{Field: "clip", Say: "This clip has no sound: its turns have to be set by hand."}
	case h.State == Failed:
		return &club.Problem{Field: "clip", Say: h.Say}
	default:
		return &club.Problem{Field: "clip", Say: fmt.Sprintf("The listening was stopped after %.0f seconds: try again.", h.Done)}
	}
}

// Envelope is the picture of a clip's sound as far as it has been heard: the
// highest sample of each of bins equal stretches between two clip times, 0 to 1;
// to at or before from: of the whole clip. All zero where there is no sound.
func (l *Listener) Envelope(ctx context.Context, id club.ID, from, to float64, bins int) ([]float32, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	if to <= from {
		from, to = 0, row.Seconds
	}
	s, err := l.soundOfClip(ctx, row)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.peaks.between(from, to, bins), nil
}
