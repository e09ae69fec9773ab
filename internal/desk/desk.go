// Package desk holds the use cases of the program: put clips into the library,
// mark, log strokes, give turns, undo, sum up, export. The window and the
// commands are two faces of it. It knows no window, no SQL and no FFmpeg.
//
// A [Desk] is safe for concurrent use. Every change is on disk when its method
// returns, as one step that can be undone.
package desk

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/job"
	"strokeledger/internal/store"
)

// Desk works on one open library.
type Desk struct {
	lib     *store.Library
	open    *pool
	dir     string
	now     func() time.Time
	newID   func() club.ID
	program string // its version
	own     tide   // to tell what others write from what this desk writes
	jobs    *job.Group
	safe    keeper // of the daily backups
	heard   sounds // what was heard in clips
	files   sizer
}

// Open opens the library in a folder. The caller closes the desk.
func Open(ctx context.Context, dir string, o Options) (*Desk, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewID == nil {
		o.NewID = club.NewID
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	lib, err := store.Open(ctx, dir, store.Options{Create: o.Create, Now: o.Now, NewID: o.NewID, Who: o.Who, Waiting: o.Waiting})
	if err != nil {
		return nil, err
	}
	d := &Desk{lib: lib, dir: dir, program: o.Program, now: o.Now, newID: o.NewID, jobs: job.NewGroup(), files: &clip.Finder{}}
	d.open = newPool(d.openClip)
	if o.Create && !o.bare {
		if err := d.furnish(ctx); err != nil {
			return nil, errors.Join(err, d.Close())
		}
	}
	if _, err := d.Others(ctx); err != nil { // what others do from now on is told
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// Close stops what takes long, waits for it, and closes every clip and the
// library. What uses the desk later gets an error.
func (d *Desk) Close() error {
	d.jobs.Stop()
	err := d.open.close() // ends the scans that jobs wait for
	d.jobs.Wait()
	d.heard.close()
	return errors.Join(err, d.lib.Close())
}
