package main

import (
	"context"
	"os"
	"sync"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
)

// Documents writes what leaves the library beside the summary: tables, films,
// captions.
type Documents struct {
	s *shell

	mu   sync.Mutex
	stop context.CancelFunc // of the film that is being made; nil: none is
}

// Table asks for a file and writes one table as CSV; it returns the path, empty
// where nothing was written.
func (x *Documents) Table(q summary.Query, form publish.TableForm) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		what := form.Which
		if what == "" {
			what = "faults"
		}
		name, err := d.Documents.FileName(ctx, what, q.Players, q.Names, "csv")
		if err != nil {
			return "", err
		}
		path, err = x.s.askWhere("Write the table", name)
		if err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.WriteOf(ctx, q, "csv", path, func(f *os.File) error { return d.Documents.Table(ctx, q, form, f) })
	})
}

// Reel asks for a file and writes a player's film to it, telling its progress by
// events of the job "reel". Its path is empty where nothing was written.
func (x *Documents) Reel(q publish.ReelQuery) (publish.ReelDone, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (done publish.ReelDone, err error) {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		if !x.begin(stop) {
			return done, &club.Problem{Say: "A film is being made already: wait for it, or stop it."}
		}
		defer x.end()
		what := "marks"
		if q.Good {
			what = "good-strokes"
		}
		name, err := d.Documents.FileName(ctx, what, []club.ID{q.Player}, q.Names, "mp4")
		if err != nil {
			return done, err
		}
		path, err := x.s.askWhere("Write the film", name)
		if err != nil || path == "" {
			return done, err
		}
		x.s.emit(eventProgress, progressEvent{"reel", 0, 0, "pictures"}) // the place is chosen
		return d.Documents.Reel(ctx, q, path, func(done, total int) {
			if done%25 == 0 || done == total { // as often as the eye wants it
				x.s.emit(eventProgress, progressEvent{"reel", done, total, "pictures"})
			}
		})
	})
}

func (x *Documents) begin(stop context.CancelFunc) bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.stop != nil {
		return false
	}
	x.stop = stop
	return true
}

func (x *Documents) end() {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.stop = nil
}

// StopReel stops the film that is being made; what was there before stays.
func (x *Documents) StopReel() (err error) {
	defer guard(&err)
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.stop != nil {
		x.stop()
	}
	return nil
}

// Captions asks for a file and writes the marks of a clip to it, or its turns as
// chapters, as WebVTT; it returns the path, empty where nothing was written.
func (x *Documents) Captions(clipID club.ID, chapters, names bool) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		what, write := "captions", d.Documents.Captions
		if chapters {
			what, write = "chapters", d.Documents.Chapters
		}
		name, err := d.Documents.TrackName(ctx, clipID, what)
		if err != nil {
			return "", err
		}
		path, err = x.s.askWhere("Write the track", name)
		if err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.WriteOfClip(ctx, clipID, "captions", document.File{Path: path, Write: func(f *os.File) error { return write(ctx, clipID, names, f) }})
	})
}
