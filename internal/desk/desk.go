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

	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/place"
)

// Desk works on one open library.
type Desk struct {
	Library   *library.Library
	Place     *place.Finder
	Footage   *footage.Clips
	Listening *listening.Listener
}

// Open opens the library in a folder. The caller closes the desk.
func Open(ctx context.Context, dir string, o library.Options) (*Desk, error) {
	lib, err := library.Open(ctx, dir, o)
	if err != nil {
		return nil, err
	}
	d := &Desk{Library: lib, Place: place.New(lib)}
	d.Footage = footage.New(lib, d.Place, func(id club.ID) { d.Listening.Drop(id) })
	d.Listening = listening.New(lib, d.Footage)
	return d, nil
}

// Close stops what takes long, waits for it, and closes every clip and the
// library. What uses the desk later gets an error.
func (d *Desk) Close() error {
	d.Library.Jobs.Stop()
	err := d.Footage.Close() // ends the scans that jobs wait for
	d.Library.Jobs.Wait()
	d.Listening.Close()
	return errors.Join(err, d.Library.Close())
}
