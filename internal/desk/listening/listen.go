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
	clips   heardClips
}

// New returns a Listener that has listened to no clip yet.
func New(lib *library.Library, clips *footage.Clips) *Listener {
	return &Listener{lib: lib, footage: clips}
}

// Close ends every run and gives all files back. The jobs of the library have been
// stopped before.
func (l *Listener) Close() { l.clips.close() }

// State says how listening to a clip stands.
type State string

const (
	NotStarted State = ""        // nobody has asked yet
	Listening  State = "running" // in the background
	Stopped    State = "stopped" // by a coach; it goes on where it was
	Silent     State = "silent"  // the clip has no sound
	Failed     State = "failed"  // Say has the reason
	Finished   State = "done"    // to the end
)

// Progress tells how far the sound of a clip has been listened to.
type Progress struct {
	State State   `json:"state"`
	Done  float64 `json:"done"` // seconds heard
	All   float64 `json:"all"`  // seconds there are, as far as is known
	Say   string  `json:"say"`  // one sentence where it failed, else empty
}

// clipOf is what is known of a clip's sound, from memory or from the cache.
func (l *Listener) clipOf(ctx context.Context, row club.Clip) (*heardClip, error) {
	l.clips.mu.Lock()
	defer l.clips.mu.Unlock()
	i := slices.IndexFunc(l.clips.all, func(s *heardClip) bool { return s.clip.ID == row.ID })
	if i >= 0 {
		s := l.clips.all[i]
		l.clips.all = append(slices.Delete(l.clips.all, i, i+1), s)
		i = len(l.clips.all) - 1
		if s.clip.Fingerprint == row.Fingerprint && (s.busy() || s.finished()) {
			return s, nil
		}
	}
	by, err := l.footage.Chosen(ctx, row)
	if err != nil {
		return nil, err
	}
	raw, _, err := l.lib.Heard(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	// A cache that cannot be read is only a cache: listen again.
	kept, ok := readHeard(raw)
	ok = ok && kept.by == by
	if i >= 0 {
		if s := l.clips.all[i]; s.clip.Fingerprint == row.Fingerprint && !ok {
			return s, nil
		}
		l.clips.all[i].evict() // another file has taken its place, or another window has heard it to its end
		l.clips.all = l.clips.all[:i]
	}
	s := &heardClip{clip: row, by: by, certain: math.Inf(-1)}
	if ok {
		s.contacts, s.sounds, s.peaks, s.certain = kept.contacts, kept.sounds, kept.peaks, math.Inf(1)
		s.progress = Progress{State: Finished, Done: row.Seconds, All: row.Seconds}
	}
	l.clips.all = append(l.clips.all, s)
	for i := 0; len(l.clips.all) > heardAtMost && i < len(l.clips.all)-1; {
		if l.clips.all[i].busy() {
			i++
			continue
		}
		l.clips.all[i].evict()
		l.clips.all = slices.Delete(l.clips.all, i, i+1)
	}
	return s, nil
}

// Progress tells how far a clip has been listened to.
func (l *Listener) Progress(ctx context.Context, id club.ID) (Progress, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Progress{}, err
	}
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return Progress{}, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.progress, nil
}

// Listen begins to listen to a clip in the background, or goes on where it was
// stopped; listening to other clips stops meanwhile. tell is called from another
// goroutine when there is news, a few times a second at most, and once at the end.
// A clip that was listened to to its end is not listened to again.
func (l *Listener) Listen(ctx context.Context, id club.ID, notify func(Progress)) (Progress, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Progress{}, err
	}
	var s *heardClip
	for s == nil || s.gone {
		if s != nil {
			s.mu.Unlock()
		}
		if s, err = l.clipOf(ctx, row); err != nil {
			return Progress{}, err
		}
		l.clips.haltAllBut(s)
		s.mu.Lock()
	}
	defer s.mu.Unlock()
	if st := s.progress.State; s.stop != nil || st == Finished || st == Silent {
		return s.progress, nil
	}
	run, done, err := l.lib.Jobs.Begin(context.WithoutCancel(ctx))
	if err != nil {
		return s.progress, err
	}
	run, s.stop = context.WithCancel(run)
	s.ended = make(chan struct{})
	s.progress.State, s.progress.Say = Listening, ""
	go func(ended chan struct{}) {
		defer done()
		defer close(ended)
		h := s.conclude(l.listen(run, s, notify), run.Err() != nil)
		if !l.lib.Jobs.Stopped() {
			notify(h)
		}
	}(s.ended)
	return s.progress, nil
}

// Stop stops listening to a clip; what was heard stays.
func (l *Listener) Stop(ctx context.Context, id club.ID) (Progress, error) {
	row, err := l.lib.Clip(ctx, id)
	if err != nil {
		return Progress{}, err
	}
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return Progress{}, err
	}
	s.halt()
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.progress, nil
}

// listen is one run: to the end, until it is stopped, or until it fails.
func (l *Listener) listen(ctx context.Context, s *heardClip, notify func(Progress)) error {
	if s.detection == nil {
		if err := l.openSound(ctx, s); err != nil {
			return err
		}
	}
	const often = 250 * time.Millisecond
	told := time.Now()
	for {
		more, err := s.detection.step(ctx)
		if err != nil {
			if ctx.Err() == nil { // else it goes on where it was
				s.release() // what the file is now, the next run finds out
			}
			return err
		}
		if !more {
			break
		}
		h := s.publish(s.detection.certain(), Listening)
		if time.Since(told) > often {
			told = time.Now()
			notify(h)
		}
	}
	s.detection.finish()
	s.publish(math.Inf(1), Finished)
	kept := heardFile{s.by, s.detection.contacts, s.detection.sounds, s.detection.peaks}
	err := l.lib.PutHeard(context.WithoutCancel(ctx), s.clip.Fingerprint, kept.bytes())
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a read-only library keeps no cache
	}
	return errors.Join(err, s.release())
}

// openSound opens the clip's sound by itself, so that playing and stepping do
// not wait for it.
func (l *Listener) openSound(ctx context.Context, s *heardClip) error {
	film, release, err := l.footage.Open(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	defer release()
	info := film.Info()
	if info.ChosenSound < 0 {
		return clip.ErrNoSound
	}
	row, err := l.lib.Clip(ctx, s.clip.ID) // opening may have found it at another place
	if err != nil {
		return err
	}
	open, err := l.footage.OpenSound(ctx, row.Path, info.ChosenSound+1)
	if err != nil {
		return err
	}
	h, err := newDetection(open, open.Rate(), info.Sounds[info.ChosenSound].FirstSeconds)
	if err != nil {
		return errors.Join(err, open.Close())
	}
	s.open, s.detection = open, h
	return nil
}

// Evict forgets what was heard of a clip, as far as it is in memory. Nobody listens
// to it any more when it returns.
func (l *Listener) Evict(id club.ID) { l.clips.evict(id) }

// Pause is the pause that is learned from the contacts of a clip.
func (l *Listener) Pause(ctx context.Context, row club.Clip, contacts []contact.Contact) (proposal.Pause, error) {
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return proposal.Pause{}, err
	}
	return s.pause(contacts), nil
}

// Contacts are those of a clip, complete before a clip time.
func (l *Listener) Contacts(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
}

// Sounds are all sudden sounds of a clip that were heard so far, whatever they were, in
// order of time.
func (l *Listener) Sounds(ctx context.Context, row club.Clip) ([]contact.Sound, error) {
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.sounds, nil
}

// ListenToEnd listens to a clip to its end.
func (l *Listener) ListenToEnd(ctx context.Context, row club.Clip, progress func(done, all float64)) error {
	_, err := l.Listen(ctx, row.ID, func(h Progress) {
		if h.State == Listening {
			progress(h.Done, h.All)
		}
	})
	if err != nil {
		return err
	}
	s, err := l.clipOf(ctx, row)
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
	switch h, err := l.Progress(ctx, row.ID); {
	case err != nil:
		return err
	case h.State == Finished:
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
	s, err := l.clipOf(ctx, row)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.peaks.between(from, to, bins), nil
}
