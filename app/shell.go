package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"github.com/adrg/xdg"
	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// shell is what the screens share: the window and the library open in it. It
// alone talks to the window.
type shell struct {
	ready chan struct{} // closed once start is through with it
	end   chan struct{} // closed when the window is
	watch sync.WaitGroup

	handed           handed
	motion           motion
	films, documents lastFolder // where files are looked for, and where they are written

	began     string     // the library that the window was opened on
	inventing sync.Mutex // held by whoever makes the invented club

	moving sync.Mutex // held by whoever closes one library and opens another

	mu   sync.RWMutex
	dir  string          // of the library under work, or of the one that could not be opened
	ctx  context.Context // lives as long as the window
	desk *desk.Desk      // nil where none could be opened
	err  error           // why not
}

func newShell(dir string) *shell {
	return &shell{dir: dir, began: dir, ctx: context.Background(), ready: make(chan struct{}), end: make(chan struct{}), documents: lastFolder{dir: xdg.UserDirs.Documents}}
}

// start opens the library. A library that cannot be opened does not keep the
// window from opening: the page says why and offers another folder.
func (s *shell) start(ctx context.Context) {
	defer close(s.ready)
	d, err := s.library(ctx, s.folder())
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ctx, s.desk, s.err = ctx, d, err
	s.watch.Go(s.watchOthers)
}

// library opens the library in a folder and makes ready in the background what its
// summaries read.
func (s *shell) library(ctx context.Context, dir string) (*desk.Desk, error) {
	d, err := desk.Open(ctx, dir, library.Options{Create: true, Who: windowName, Program: version, Waiting: func(done, total int) {
		s.emit(eventProgress, progressEvent{"summary", done, total, "clips"})
	}})
	if err == nil {
		d.Summary.Prefetch()
	}
	return d, err
}

// windowName names the window to other programs that wait for it.
const windowName = "the window"

// pollEvery is how often the window looks whether another program has written.
const pollEvery = 2 * time.Second

// watchOthers tells the page of what others write, and keeps the day's backup, until the
// window closes.
func (s *shell) watchOthers() {
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		select {
		case <-s.end:
			return
		case <-tick.C:
		}
		ctx, d, err := s.open()
		if err != nil {
			continue // nothing is open to look at
		}
		// No error is lost: one of the first call comes up again with the coach's
		// next action, one of the backup is in the state that the page asks for.
		changed, err := d.Library.Others(ctx)
		failed := d.Library.KeepBackup(ctx) != nil
		if err == nil && changed || failed {
			s.emit(eventChanged, struct{}{})
		}
	}
}

// stop closes the library when the window has closed; what is under way ends.
func (s *shell) stop() {
	<-s.ready // the window may close while the library is being opened
	close(s.end)
	s.watch.Wait()
	s.motion.stop()
	s.mu.Lock()
	d := s.desk
	s.desk, s.err = nil, errNoLibrary
	s.mu.Unlock()
	if d != nil {
		d.Close() // every change is on the disk already: nothing to lose, and nobody to tell
	}
}

var errAway = &club.Problem{Field: "library", Say: "The library is being put right: wait a moment, then do this again."}

var errNoLibrary = &club.Problem{Field: "library", Say: "No library is open: choose a folder for one."}

// open is the library under work, with the context for calls on it. The page may
// ask before the library is open: it waits.
func (s *shell) open() (context.Context, *desk.Desk, error) {
	<-s.ready
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.desk == nil {
		return s.ctx, nil, s.err
	}
	return s.ctx, s.desk, nil
}

// window is the context for dialogs and events.
func (s *shell) window() context.Context {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.ctx
}

// swap closes the library in use, which ends what is under way in it, and opens
// another. A damaged one is kept together with its error, so that it can be
// repaired.
func (s *shell) swap(dir string) error {
	s.moving.Lock()
	defer s.moving.Unlock()
	d, err := s.library(s.window(), dir)
	if err != nil && !errors.Is(err, store.ErrDamaged) {
		return err
	}
	s.use(dir, d, err)
	return err
}

// closed closes the library, works on its folder and opens it again, also where the
// work failed.
func (s *shell) closed(work func(ctx context.Context, dir string) error) error {
	s.moving.Lock()
	defer s.moving.Unlock()
	<-s.ready
	ctx, dir := s.window(), s.folder()
	s.use(dir, nil, errAway)
	err := work(ctx, dir)
	d, opened := s.library(ctx, dir)
	s.use(dir, d, opened)
	return cmp.Or(err, opened)
}

// use puts a library in the place of the one under work, and closes that.
func (s *shell) use(dir string, d *desk.Desk, err error) {
	s.mu.Lock()
	old := s.desk
	s.dir, s.desk, s.err = dir, d, err
	s.mu.Unlock()
	if old != nil {
		old.Close() // every change is on the disk already: nothing to lose
	}
}

// folder is that of the library under work, open or not.
func (s *shell) folder() string {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.dir
}

// emit tells the page that something has changed; payloads stay small, since the
// page's engine keeps large ones.
func (s *shell) emit(event string, payload any) { runtime.EventsEmit(s.window(), event, payload) }

// The events and what they carry.
const (
	eventIndex    = "index"
	eventProgress = "progress"
	eventHeard    = "heard"
	eventMeasured = "measured"
	eventCameras  = "cameras"
	eventChanged  = "changed" // another program has written; carries nothing
)

type indexEvent struct {
	ClipID   club.ID `json:"clip_id"`
	Frames   int     `json:"frames"`
	Complete bool    `json:"complete"`
	Seconds  float64 `json:"seconds"`
	Say      string  `json:"say"` // why the scan ended early, or empty

	Notices []string `json:"notices"` // what is to be told of the film now that it is known
}

type heardEvent struct {
	ClipID club.ID `json:"clip_id"`
	listening.Progress
}

type measuredEvent struct {
	ClipID club.ID `json:"clip_id"`
	measured.Progress
}

type camerasEvent struct {
	SessionID club.ID         `json:"session_id"`
	Done      int             `json:"done"`
	All       int             `json:"all"`
	Ended     bool            `json:"ended"`
	Stopped   bool            `json:"stopped"` // before its end
	Found     []pairing.Found `json:"found"`   // at the end
	Say       string          `json:"say"`     // why it failed, or empty
}

type progressEvent struct {
	Job   string `json:"job"`
	Done  int    `json:"done"`
	Total int    `json:"total"`
	Label string `json:"label"`
}

// guard turns a panic of a bound method into an error: otherwise the page's promise
// would stay pending for ever.
func guard(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%v\n%s", r, debug.Stack())
	}
}

// coded writes an error for the page: a code, or a code and a field, then one
// sentence.
func coded(err error) any {
	code := "failed"
	if errors.Is(err, store.ErrUnknown) {
		code = "unknown" // what was asked for is not in the library any more
	}
	if p, ok := club.AsProblem(err); ok && p.Entered() {
		code = "problem"
		if p.Field != "" {
			code += "/" + p.Field
		}
	}
	return code + ": " + sentence.Of(err)
}
