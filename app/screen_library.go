package main

import (
	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/store"
)

// Library is the frame of the window: which library is open, who marks, undo and
// redo.
type Library struct{ s *shell }

// State tells what the frame shows.
func (l *Library) State() (st desk.State, err error) {
	defer guard(&err)
	ctx, d, err := l.s.open()
	if err != nil {
		return st, err
	}
	return d.State(ctx)
}

// Choose asks for a folder and works on the library in it, which is made where
// there is none.
func (l *Library) Choose() (st desk.State, err error) {
	defer guard(&err)
	dir, err := runtime.OpenDirectoryDialog(l.s.window(), runtime.OpenDialogOptions{
		Title: "Folder of a library, or an empty one for a new library", CanCreateDirectories: true,
	})
	if err != nil {
		return st, err
	}
	if dir != "" {
		if err := l.s.swap(dir); err != nil {
			return st, err
		}
	}
	return l.State()
}

// SetCoach says who marks from now on.
func (l *Library) SetCoach(id string) (st desk.State, err error) {
	defer guard(&err)
	ctx, d, err := l.s.open()
	if err != nil {
		return st, err
	}
	if err := d.SetCoach(ctx, club.ID(id)); err != nil {
		return st, err
	}
	return d.State(ctx)
}

// NameCoach says who marks in a new library; empty: not now, and do not ask again.
func (l *Library) NameCoach(name string) (st desk.State, err error) {
	defer guard(&err)
	ctx, d, err := l.s.open()
	if err != nil {
		return st, err
	}
	if err := d.NameCoach(ctx, name); err != nil {
		return st, err
	}
	return d.State(ctx)
}

// Change tells the page what was undone or redone, and what could be next.
type Change struct {
	Label     string    `json:"label"`
	Clips     []club.ID `json:"clips"` // whose ledger changed
	Catalogue bool      `json:"catalogue"`
	Frame     int       `json:"frame"` // of what changed, -1 where it has none
	Undo      string    `json:"undo"`
	Redo      string    `json:"redo"`
}

// Undo takes back the last change.
func (l *Library) Undo() (c Change, err error) {
	defer guard(&err)
	ctx, d, err := l.s.open()
	if err != nil {
		return c, err
	}
	return l.changed(d.Undo(ctx))
}

// Redo brings back what was taken back last.
func (l *Library) Redo() (c Change, err error) {
	defer guard(&err)
	ctx, d, err := l.s.open()
	if err != nil {
		return c, err
	}
	return l.changed(d.Redo(ctx))
}

func (l *Library) changed(ch store.Change, err error) (Change, error) {
	if err != nil {
		return Change{}, err
	}
	st, err := l.State()
	clips := ch.Clips
	if clips == nil {
		clips = []club.ID{}
	}
	return Change{ch.Label, clips, ch.Catalogue, ch.Frame, st.Undo, st.Redo}, err
}
