package av

/*
#include "native.h"
*/
import "C"

import (
	"os"
	"sync"
	"time"
)

// Watch measures how long a set of sources has been waiting for the drive: a read
// from an unplugged drive or a hanging network path may never return, and cannot be
// cancelled. The zero value is ready to use. Safe for concurrent use; a nil Watch
// opens sources that nobody watches.
type Watch struct {
	Gate *os.File // no read begins before this can be read; nil none. Tests hang a drive with it.

	mu      sync.Mutex
	sources map[*Source]struct{}
	calls   map[*time.Time]struct{} // begun and not left
	end     int64                   // where the film ends in its file, 0 there
}

// End makes all sources of the file, those that are open too, end at a byte before
// the file's own end: what follows is no part of the film.
func (w *Watch) End(at int64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.end = at
	for s := range w.sources {
		C.sl_file_end(s.file, C.int64_t(at))
	}
}

// Ends is the byte that End was given last, 0 the file's own end.
func (w *Watch) Ends() int64 {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.end
}

// OpenSource is the function OpenSource under watch.
func (w *Watch) OpenSource(path string) (*Source, error) { return w.openSource(path, whole, nil) }

// OpenAgain is the function OpenAgain under watch.
func (w *Watch) OpenAgain(path string, streams []Stream) (*Source, error) {
	return w.openSource(path, again, streams)
}

// OpenHeader is the function OpenHeader under watch.
func (w *Watch) OpenHeader(path string) (*Source, error) { return w.openHeader(path) }

// OpenNotes opens a file only for what it notes of itself: nothing is looked at or
// read that does not stand in its header, and nothing can be decoded from it.
func (w *Watch) OpenNotes(path string) (*Source, error) { return w.openSource(path, header, nil) }

// During watches a call to the drive that is no source's.
func (w *Watch) During(call func()) {
	if w == nil {
		call()
		return
	}
	begun := time.Now()
	w.mu.Lock()
	if w.calls == nil {
		w.calls = map[*time.Time]struct{}{}
	}
	w.calls[&begun] = struct{}{}
	w.mu.Unlock()
	defer func() {
		w.mu.Lock()
		delete(w.calls, &begun)
		w.mu.Unlock()
	}()
	C.sl_pass(w.gate())
	call()
}

// Waiting is how long the oldest call under way has been waiting for the drive.
func (w *Watch) Waiting() time.Duration {
	w.mu.Lock()
	defer w.mu.Unlock()
	longest := time.Duration(0)
	for begun := range w.calls {
		longest = max(longest, time.Since(*begun))
	}
	for s := range w.sources {
		longest = max(longest, s.waiting())
	}
	return longest
}

func (w *Watch) gate() C.int {
	if w == nil || w.Gate == nil {
		return -1
	}
	return C.int(w.Gate.Fd())
}

func (w *Watch) add(s *Source) {
	if w == nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.sources == nil {
		w.sources = map[*Source]struct{}{}
	}
	w.sources[s] = struct{}{}
	C.sl_file_end(s.file, C.int64_t(w.end))
}

func (w *Watch) remove(s *Source) {
	if w == nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.sources, s)
}

// waiting is how long the source's call under way has taken. The file is there as
// long as the source is watched: Close ends that first.
func (s *Source) waiting() time.Duration { return time.Duration(C.sl_file_waiting(s.file)) }
