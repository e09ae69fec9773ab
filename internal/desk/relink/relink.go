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
	"strokeledger/internal/desk/place"
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
	Clip footage.ClipRow `json:"clip"`
	// Others are so many clips of the same folder that were missing too, and lie beside it.
	Others int    `json:"others"`
	Alike  *Alike `json:"alike"` // another file with the same length and sound: Adopt takes it; null: nothing to ask
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
	others, err := x.neighbours(ctx, row, path)
	if err != nil {
		return Relinked{}, err
	}
	if _, err := x.moveAll(ctx, append([]club.Clip{moved(row, path)}, others...)); err != nil {
		return Relinked{}, err
	}
	now, err := x.footage.Row(ctx, id)
	return Relinked{Clip: now, Others: len(others)}, err
}

// neighbours finds what else is missing of the folder in which a clip lay, beside the place
// where that clip lies now: the same bytes under the same names.
func (x *Relinker) neighbours(ctx context.Context, row club.Clip, path string) (found []club.Clip, err error) {
	all, err := x.lib.SessionPage(ctx, "", 0)
	if err != nil {
		return nil, err
	}
	for _, c := range all.Clips {
		if c.ID == row.ID || place.Filmless(c) || filepath.Dir(c.Path) != filepath.Dir(row.Path) {
			continue
		}
		beside := filepath.Join(filepath.Dir(path), filepath.Base(c.Path))
		if beside == c.Path || x.footage.InPlace(c) {
			continue
		}
		// Where it is not there, or another film, it stays missing.
		if print, _, err := clip.Fingerprint(beside); err == nil && print == c.Fingerprint {
			found = append(found, moved(c, beside))
		}
	}
	return found, nil
}

// moved is a clip whose file lies elsewhere now.
func moved(row club.Clip, path string) club.Clip {
	to := row
	to.Path, to.Name = path, filepath.Base(path)
	return footage.Titled(to, row)
}

// moveAll keeps where the files of clips lie now, in one change.
func (x *Relinker) moveAll(ctx context.Context, rows []club.Clip) (club.Clip, error) {
	edits := make([]store.Edit, len(rows))
	for i, r := range rows {
		edits[i] = store.Put(r)
	}
	label := "found " + rows[0].Name + " again"
	if len(rows) > 1 {
		label = fmt.Sprintf("found %d clips again", len(rows))
	}
	_, err := x.lib.Do(ctx, label, edits...)
	for _, r := range rows {
		x.footage.Reopen(r.ID)
	}
	return rows[0], err
}

// MoveTo keeps where the file of a clip lies now, whose film is known to be the same.
func (x *Relinker) MoveTo(ctx context.Context, row club.Clip, path string) (club.Clip, error) {
	return x.moveAll(ctx, []club.Clip{moved(row, path)})
}

func notTheFilm(row club.Clip, path string) error {
	return &club.Problem{Field: "path", Say: fmt.Sprintf("%s is not the same film as %s: pick the file that was marked, or add this one as a new clip.", club.Isolated(filepath.Base(path)), club.Isolated(row.Name))}
}
