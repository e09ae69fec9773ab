package desk

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
	"strokeledger/internal/store"
)

// HearingState says how listening to a clip stands.
type HearingState string

const (
	NotHeard  HearingState = ""        // nobody has asked yet
	Listening HearingState = "running" // in the background
	Stopped   HearingState = "stopped" // by a coach; it goes on where it was
	Silent    HearingState = "silent"  // the clip has no sound
	Failed    HearingState = "failed"  // Say has the reason
	AllHeard  HearingState = "done"
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
	by   Choice

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
func (d *Desk) soundOfClip(ctx context.Context, row club.Clip) (*sound, error) {
	d.heard.mu.Lock()
	defer d.heard.mu.Unlock()
	if i := slices.IndexFunc(d.heard.all, func(s *sound) bool { return s.clip.ID == row.ID }); i >= 0 {
		s := d.heard.all[i]
		d.heard.all = append(slices.Delete(d.heard.all, i, i+1), s)
		if s.clip.Fingerprint == row.Fingerprint {
			return s, nil
		}
		s.end() // another file has taken its place
		d.heard.all = d.heard.all[:len(d.heard.all)-1]
	}
	by, err := d.choice(ctx, row)
	if err != nil {
		return nil, err
	}
	s := &sound{clip: row, by: by, certain: math.Inf(-1)}
	raw, ok, err := d.lib.Heard(ctx, row.Fingerprint)
	if err != nil {
		return nil, err
	}
	var kept heardFile
	// A cache that cannot be read is only a cache: listen again.
	if ok && gob.NewDecoder(bytes.NewReader(raw)).Decode(&kept) == nil && kept.Version == heardVersion && kept.By == by {
		s.contacts, s.peaks, s.certain = kept.Contacts, kept.Peaks, math.Inf(1)
		s.hearing = Hearing{State: AllHeard, Done: row.Seconds, All: row.Seconds}
	}
	d.heard.all = append(d.heard.all, s)
	for i := 0; len(d.heard.all) > heardAtMost && i < len(d.heard.all)-1; {
		if d.heard.all[i].busy() {
			i++
			continue
		}
		d.heard.all[i].end()
		d.heard.all = slices.Delete(d.heard.all, i, i+1)
	}
	return s, nil
}

// heardFile is how the cache keeps what was heard. A detector that hears better
// gets a new version, and clips are listened to again.
type heardFile struct {
	Version  int
	By       Choice // of the file's sounds, and of the video whose clock it is
	Contacts []contact.Contact
	Peaks    []byte
}

const heardVersion = 2

// Heard tells how far a clip has been listened to.
func (d *Desk) Heard(ctx context.Context, id club.ID) (Hearing, error) {
	row, err := d.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	s, err := d.soundOfClip(ctx, row)
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
func (d *Desk) Listen(ctx context.Context, id club.ID, tell func(Hearing)) (Hearing, error) {
	row, err := d.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	var s *sound
	for s == nil || s.gone {
		if s != nil {
			s.mu.Unlock()
		}
		if s, err = d.soundOfClip(ctx, row); err != nil {
			return Hearing{}, err
		}
		d.heard.rest(s)
		s.mu.Lock()
	}
	defer s.mu.Unlock()
	if st := s.hearing.State; s.stop != nil || st == AllHeard || st == Silent {
		return s.hearing, nil
	}
	run, done, err := d.jobs.begin(context.WithoutCancel(ctx))
	if err != nil {
		return s.hearing, err
	}
	run, s.stop = context.WithCancel(run)
	s.ended = make(chan struct{})
	s.hearing.State, s.hearing.Say = Listening, ""
	go func(ended chan struct{}) {
		defer done()
		defer close(ended)
		h := s.conclude(d.listen(run, s, tell), run.Err() != nil)
		if d.jobs.ctx.Err() == nil {
			tell(h)
		}
	}(s.ended)
	return s.hearing, nil
}

// Hush stops listening to a clip; what was heard stays.
func (d *Desk) Hush(ctx context.Context, id club.ID) (Hearing, error) {
	row, err := d.lib.Clip(ctx, id)
	if err != nil {
		return Hearing{}, err
	}
	s, err := d.soundOfClip(ctx, row)
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
		s.hearing.State, s.hearing.Say = Failed, Sentence(err)
	}
	if s.gone {
		s.shut() // only read from: nothing to lose
	}
	return s.hearing
}

// listen is one run: to the end, until it is stopped, or until it fails.
func (d *Desk) listen(ctx context.Context, s *sound, tell func(Hearing)) error {
	if s.hearer == nil {
		if err := d.beginHearing(ctx, s); err != nil {
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
		err = d.lib.PutHeard(context.WithoutCancel(ctx), s.clip.Fingerprint, b.Bytes())
	}
	if errors.Is(err, store.ErrReadOnly) {
		err = nil // a library that is only looked at needs no cache
	}
	return errors.Join(err, s.shut())
}

// beginHearing opens the clip's sound by itself, so that playing and stepping do
// not wait for it.
func (d *Desk) beginHearing(ctx context.Context, s *sound) error {
	film, release, err := d.Footage(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	defer release()
	info := film.Info()
	if info.Heard < 0 {
		return clip.ErrNoSound
	}
	row, err := d.lib.Clip(ctx, s.clip.ID) // opening may have found it at another place
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
