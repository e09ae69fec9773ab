// Package listening passes the sound of clips through the detector of contacts, in the
// background, and keeps what was heard: contacts, how loud it was, and the pauses of
// play.
package listening

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"math"
	"slices"
	"sync"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/sentence"
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

// sound is what was heard of one clip so far.
type sound struct {
	clip club.Clip
	by   footage.Choice

	mu       sync.Mutex
	hearing  Hearing
	contacts []contact.Contact // only ever appended to
	certain  float64           // clip time before which contacts are complete
	peaks    wave
	learned  learned
	gone     bool               // another has taken its place: nobody listens to it
	stop     context.CancelFunc // while it runs
	ended    chan struct{}      // closed when the run has ended

	// Of the run, or resting until the next.
	hearer *hearer
	open   *clip.Recording
}

// sounds keeps what was heard of the clips used last. Nobody waits for a run while
// holding mu: whom the run tells may ask about sounds.
type sounds struct {
	mu  sync.Mutex
	all []*sound // the last used at the end
}

// heardAtMost is how many clips' contacts stay in memory; the cache has the rest.
const heardAtMost = 4

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
		s.end() // another file has taken its place
		l.sounds.all = l.sounds.all[:len(l.sounds.all)-1]
	}
	by, err := l.footage.Chosen(ctx, row)
	if err != nil {
		return nil, err
	}
	s := &sound{clip: row, by: by, certain: math.Inf(-1)}
	raw, ok, err := l.lib.Heard(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	var kept heardFile
	// A cache that cannot be read is only a cache: listen again.
	if ok && gob.NewDecoder(bytes.NewReader(raw)).Decode(&kept) == nil && kept.Version == heardVersion && kept.By == by {
		s.contacts, s.peaks, s.certain = kept.Contacts, kept.Peaks, math.Inf(1)
		s.hearing = Hearing{State: AllHeard, Done: row.Seconds, All: row.Seconds}
	}
	l.sounds.all = append(l.sounds.all, s)
	for i := 0; len(l.sounds.all) > heardAtMost && i < len(l.sounds.all)-1; {
		if l.sounds.all[i].busy() {
			i++
			continue
		}
		l.sounds.all[i].end()
		l.sounds.all = slices.Delete(l.sounds.all, i, i+1)
	}
	return s, nil
}

// heardFile is how the cache keeps what was heard. A detector that hears better
// gets a new version, and clips are listened to again.
type heardFile struct {
	Version  int
	By       footage.Choice // of the file's sounds, and of the video whose clock it is
	Contacts []contact.Contact
	Peaks    []byte
}

const heardVersion = 1

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
		l.sounds.rest(s)
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
	s.hush()
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.hearing, nil
}

// conclude writes down how a run ended. A sound that is gone gives its file back.
func (s *sound) conclude(err error, stopped bool) Hearing {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stop()
	s.stop = nil
	switch {
	case stopped && s.hearing.State == Listening:
		s.hearing.State = Stopped
	case errors.Is(err, clip.ErrNoSound):
		s.hearing.State = Silent
	case err != nil:
		s.hearing.State, s.hearing.Say = Failed, sentence.Of(err)
	}
	if s.gone {
		s.shut() // only read from: nothing to lose
	}
	return s.hearing
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
				s.shut() // what the file is now, the next run finds out
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
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(heardFile{heardVersion, s.by, s.hearer.contacts, s.hearer.peaks})
	if err == nil {
		err = l.lib.PutHeard(context.WithoutCancel(ctx), s.clip.Fingerprint, b.Bytes())
	}
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a library that is only looked at needs no cache
	}
	return errors.Join(err, s.shut())
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
	open, err := clip.OpenSound(ctx, row.Path, info.Heard+1)
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

// publish shows others what the run has heard so far. They share the lists with
// the run, which only ever appends contacts; peaks are copied, since it writes on.
func (s *sound) publish(certain float64, state HearingState) Hearing {
	s.mu.Lock()
	defer s.mu.Unlock()
	h := s.hearer
	s.contacts, s.certain = h.contacts[:len(h.contacts):len(h.contacts)], certain
	if n := max(0, len(s.peaks)-1); n < len(h.peaks) {
		s.peaks = append(s.peaks[:n], h.peaks[n:]...)
	}
	s.hearing.State, s.hearing.Done, s.hearing.All = state, h.at, max(h.at, s.clip.Seconds)
	return s.hearing
}

// shut gives the file back.
func (s *sound) shut() error {
	if s.open == nil {
		return nil
	}
	err := s.open.Close()
	s.open, s.hearer = nil, nil
	return err
}

func (s *sound) busy() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stop != nil
}

// hush stops the run, if there is one, and waits for it.
func (s *sound) hush() {
	s.mu.Lock()
	stop, ended := s.stop, s.ended
	s.mu.Unlock()
	if stop != nil {
		stop()
	}
	if ended != nil {
		<-ended
	}
}

// end ends a sound for good. It does not wait for the run, which gives the file
// back where there is one.
func (s *sound) end() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = true
	if s.stop != nil {
		s.stop()
		return
	}
	s.shut()
}

// rest stops every run but that of one sound.
func (a *sounds) rest(but *sound) {
	a.mu.Lock()
	others := slices.DeleteFunc(slices.Clone(a.all), func(s *sound) bool { return s == but })
	a.mu.Unlock()
	for _, s := range others {
		s.hush()
	}
}

// drop forgets what was heard of a clip, as far as it is in memory. Nobody listens
// to it any more when it returns.
func (a *sounds) drop(id club.ID) {
	if s := a.take(id); s != nil {
		s.end()
		s.hush()
	}
}

// take takes a clip's sound out; nil where there is none.
func (a *sounds) take(id club.ID) *sound {
	a.mu.Lock()
	defer a.mu.Unlock()
	i := slices.IndexFunc(a.all, func(s *sound) bool { return s.clip.ID == id })
	if i < 0 {
		return nil
	}
	s := a.all[i]
	a.all = slices.Delete(a.all, i, i+1)
	return s
}

// close ends every run and gives all files back.
func (a *sounds) close() {
	a.rest(nil)
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, s := range a.all {
		s.shut()
	}
	a.all = nil
}

// Drop forgets what was heard of a clip, as far as it is in memory. Nobody listens
// to it any more when it returns.
func (l *Listener) Drop(id club.ID) { l.sounds.drop(id) }
