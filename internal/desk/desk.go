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

	"strokeledger/internal/clip"
	"strokeledger/internal/desk/library"
)

// Desk works on one open library.
type Desk struct {
	Library *library.Library

	open  *pool
	heard sounds // what was heard in clips
	files sizer
}

// Open opens the library in a folder. The caller closes the desk.
func Open(ctx context.Context, dir string, o library.Options) (*Desk, error) {
	lib, err := library.Open(ctx, dir, o)
	if err != nil {
		return nil, err
	}
	d := &Desk{Library: lib, files: &clip.Finder{}}
	d.open = newPool(d.openClip)
	return d, nil
}

// Close stops what takes long, waits for it, and closes every clip and the
// library. What uses the desk later gets an error.
func (d *Desk) Close() error {
	d.Library.Jobs.Stop()
	err := d.open.close() // ends the scans that jobs wait for
	d.Library.Jobs.Wait()
	d.heard.close()
	return errors.Join(err, d.Library.Close())
}
