package main

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// shell is what the screens share: the window and the library open in it. It
// alone talks to the window.
type shell struct {
	dir string // library to open at the start

	mu      sync.RWMutex
	ctx     context.Context // lives as long as the window
	desk    *desk.Desk      // nil where none could be opened
	err     error           // why not
	running sync.WaitGroup  // jobs that must end before the library closes
	closing chan struct{}
}

func newShell(dir string) *shell {
	return &shell{dir: dir, ctx: context.Background(), closing: make(chan struct{})}
}

// start opens the library. A library that cannot be opened does not keep the
// window from opening: the page says why and offers another folder.
func (s *shell) start(ctx context.Context) {
	d, err := desk.Open(ctx, s.dir, desk.Options{Create: true})
	s.mu.Lock()
	s.ctx, s.desk, s.err = ctx, d, err
	s.mu.Unlock()
	s.running.Go(func() { s.watch(ctx) })
}

// watchEvery is how often the window looks whether another program has written.
const watchEvery = 2 * time.Second

// watch tells the page of what others write, until the window closes.
func (s *shell) watch(ctx context.Context) {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.closing:
			return
		case <-tick.C:
		}
		_, d, err := s.open()
		if err != nil {
			continue // nothing is open to look at
		}
		// An error here is told by the next thing that the coach does.
		if changed, err := d.Others(ctx); err == nil && changed {
			s.emit(eventChanged, struct{}{})
		}
	}
}

func (s *shell) stop() {
	close(s.closing)
	s.running.Wait()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.desk != nil {
		s.err = errors.Join(s.desk.Close(), errNoLibrary)
		s.desk = nil
	}
}

var errNoLibrary = &club.Problem{Field: "library", Say: "No library is open: choose a folder for one."}

// open is the library under work, with the context for calls on it.
func (s *shell) open() (context.Context, *desk.Desk, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	switch {
	case s.desk != nil:
		return s.ctx, s.desk, nil
	case s.err != nil:
		return s.ctx, nil, s.err
	}
	return s.ctx, nil, errNoLibrary
}

// swap works on another library from now on.
func (s *shell) swap(dir string) error {
	d, err := desk.Open(s.ctx, dir, desk.Options{Create: true})
	if err != nil {
		return err
	}
	s.mu.Lock()
	old := s.desk
	s.desk, s.err, s.dir = d, nil, dir
	s.mu.Unlock()
	if old != nil {
		return old.Close()
	}
	return nil
}

// emit tells the page that something has changed; payloads stay small, since the
// page's engine keeps large ones.
func (s *shell) emit(event string, payload any) { runtime.EventsEmit(s.ctx, event, payload) }

// The events and what they carry.
const (
	eventIndex    = "index"
	eventProgress = "progress"
	eventChanged  = "changed" // another program has written; carries nothing
)

type indexEvent struct {
	ClipID   club.ID `json:"clip_id"`
	Frames   int     `json:"frames"`
	Complete bool    `json:"complete"`
	Seconds  float64 `json:"seconds"`
	Say      string  `json:"say"` // why the scan ended early, or empty
}

type progressEvent struct {
	Job   string `json:"job"`
	Done  int    `json:"done"`
	Total int    `json:"total"`
	Label string `json:"label"`
}

// guard turns a panic of a bound method into an error: the page would wait for
// ever on a promise that nobody keeps.
func guard(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("unexpected: %v\n%s", r, debug.Stack())
	}
}

// coded writes an error for the page: a code, or a code and a field, then one
// sentence.
func coded(err error) any {
	code := "failed"
	if p, ok := club.AsProblem(err); ok {
		code = "problem"
		if p.Field != "" {
			code += "/" + p.Field
		}
	}
	return code + ": " + desk.Sentence(err)
}
