package listening

import (
	"context"
	"errors"
	"slices"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/proposal"
	"strokeledger/internal/sentence"
)

// heardClip is what was heard of one clip so far.
type heardClip struct {
	clip club.Clip
	by   footage.Choice

	mu       sync.Mutex
	progress Progress
	contacts []contact.Contact // only ever appended to
	sounds   []contact.Sound   // likewise
	certain  float64           // clip time before which contacts are complete
	peaks    wave
	learned  learned
	gone     bool               // evicted: another entry has taken its place
	stop     context.CancelFunc // while it runs
	ended    chan struct{}      // closed when the run has ended

	// Of the run under way, or kept for the next one.
	detection *detection
	open      *clip.Recording
}

// heardClips keeps what was heard of the clips used last. mu must not be held while
// waiting for a run, since what the run calls may use the Listener.
type heardClips struct {
	mu  sync.Mutex
	all []*heardClip // the last used at the end
}

// heardAtMost is how many clips' contacts stay in memory; the cache has the rest.
const heardAtMost = 4

// conclude records how a run ended, and closes the file of an evicted clip.
func (s *heardClip) conclude(err error, stopped bool) Progress {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stop()
	s.stop = nil
	switch {
	case stopped && s.progress.State == Listening:
		s.progress.State = Stopped
	case errors.Is(err, clip.ErrNoSound):
		s.progress.State = Silent
	case err != nil:
		s.progress.State, s.progress.Say = Failed, sentence.Of(err)
	}
	if s.gone {
		s.release() // only read from: nothing to lose
	}
	return s.progress
}

// publish makes what the run has found so far visible to others. They share its
// list of contacts, which is only appended to; peaks are copied, since the run
// still changes the last one.
func (s *heardClip) publish(certain float64, state State) Progress {
	s.mu.Lock()
	defer s.mu.Unlock()
	h := s.detection
	s.contacts, s.certain = h.contacts[:len(h.contacts):len(h.contacts)], certain
	s.sounds = h.sounds[:len(h.sounds):len(h.sounds)]
	if n := max(0, len(s.peaks)-1); n < len(h.peaks) {
		s.peaks = append(s.peaks[:n], h.peaks[n:]...)
	}
	s.progress.State, s.progress.Done, s.progress.All = state, h.at, max(h.at, s.clip.Seconds)
	return s.progress
}

// release gives the file back.
func (s *heardClip) release() error {
	if s.open == nil {
		return nil
	}
	err := s.open.Close()
	s.open, s.detection = nil, nil
	return err
}

func (s *heardClip) busy() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stop != nil
}

// finished reports whether there is nothing more to hear.
func (s *heardClip) finished() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.progress.State == Finished || s.progress.State == Silent
}

// halt stops the run, if there is one, and waits for it.
func (s *heardClip) halt() {
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

// evict ends a clip's detection for good. It does not wait for a run, which then
// closes the file itself.
func (s *heardClip) evict() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = true
	if s.stop != nil {
		s.stop()
		return
	}
	s.release()
}

// haltAllBut stops every run but that of one clip.
func (a *heardClips) haltAllBut(but *heardClip) {
	a.mu.Lock()
	others := slices.DeleteFunc(slices.Clone(a.all), func(s *heardClip) bool { return s == but })
	a.mu.Unlock()
	for _, s := range others {
		s.halt()
	}
}

// evict forgets what was heard of a clip, as far as it is in memory. Nobody listens
// to it any more when it returns.
func (a *heardClips) evict(id club.ID) {
	if s := a.remove(id); s != nil {
		s.evict()
		s.halt()
	}
}

// remove takes a clip out; nil where it is not there.
func (a *heardClips) remove(id club.ID) *heardClip {
	a.mu.Lock()
	defer a.mu.Unlock()
	i := slices.IndexFunc(a.all, func(s *heardClip) bool { return s.clip.ID == id })
	if i < 0 {
		return nil
	}
	s := a.all[i]
	a.all = slices.Delete(a.all, i, i+1)
	return s
}

// close ends every run and gives all files back.
func (a *heardClips) close() {
	a.haltAllBut(nil)
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, s := range a.all {
		s.release()
	}
	a.all = nil
}

// learned is the pause that was learned from so many contacts: those of two hours
// take some time, and it is asked for after every key.
type learned struct {
	contacts int
	pause    proposal.Pause
}

func (s *heardClip) pause(contacts []contact.Contact) proposal.Pause {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(contacts); n == 0 || n != s.learned.contacts { // they are only ever appended to
		s.learned = learned{n, proposal.Learn(proposal.Exchanges(contacts))}
	}
	return s.learned.pause
}
