// Package relink says which file is the film of a clip: the same bytes at another place,
// or the same film encoded anew.
package relink

import (
	"context"
	"fmt"
	"path/filepath"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Relinker says which file is the film of a clip. It is safe for concurrent use.
type Relinker struct {
	lib     *library.Library
	footage *footage.Clips
}

// New is for the clips of a library.
func New(lib *library.Library, clips *footage.Clips) *Relinker {
	return &Relinker{lib: lib, footage: clips}
}

// Relinked says what became of a file that was shown as a clip's own.
type Relinked struct {
	Clip  footage.ClipRow `json:"clip"`
	Alike *Alike          `json:"alike"` // another file with the same length and sound: Adopt takes it; null: nothing to ask
}

// Relink tells the library where a clip's file lies now. The same bytes are taken
// at once. Another file is taken only when the coach says so: where it has the same
// length and sound, Alike says what would happen to the marks; else the error does.
func (x *Relinker) Relink(ctx context.Context, id club.ID, path string) (Relinked, error) {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return Relinked{}, err
	}
	if path, err = filepath.Abs(path); err != nil {
		return Relinked{}, err
	}
	print, _, err := clip.Fingerprint(path)
	if err != nil {
		return Relinked{}, err
	}
	if print != row.Fingerprint {
		a, err := x.alike(ctx, row, path, print)
		if err != nil {
			return Relinked{}, err
		}
		n, err := x.lib.Count(ctx, id)
		return Relinked{Clip: footage.ClipRow{ListedClip: footage.Listed(row, n), Missing: !x.footage.InPlace(row)}, Alike: &a.Alike}, err
	}
	if _, err := x.MoveTo(ctx, row, path); err != nil {
		return Relinked{}, err
	}
	now, err := x.footage.Row(ctx, id)
	return Relinked{Clip: now}, err
}

// MoveTo keeps where the file of a clip lies now, whose film is known to be the same.
func (x *Relinker) MoveTo(ctx context.Context, row club.Clip, path string) (club.Clip, error) {
	row.Path, row.Name = path, filepath.Base(path)
	_, err := x.lib.Do(ctx, "found "+row.Name+" again", store.Put(row))
	x.footage.Reopen(row.ID)
	return row, err
}

func notTheFilm(row club.Clip, path string) error {
	return &club.Problem{Field: "path", Say: fmt.Sprintf("%s is not the same film as %s: pick the file that was marked, or add this one as a new clip.", club.Isolated(filepath.Base(path)), club.Isolated(row.Name))}
}
