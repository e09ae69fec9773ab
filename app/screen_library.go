package main

import (
	"context"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Library is the frame of the window: which library is open, who marks, undo and
// redo.
type Library struct{ s *shell }

// State tells what the frame shows.
func (l *Library) State() (library.State, error) {
	return asked(l.s, func(ctx context.Context, d *desk.Desk) (library.State, error) {
		return d.Library.State(ctx)
	})
}

// Choose asks for a folder and works on the library in it, which is made where
// there is none.
func (l *Library) Choose() (library.State, error) {
	return answer(func() (st library.State, err error) {
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
	})
}

// SetCoach says who marks from now on.
func (l *Library) SetCoach(id club.ID) (library.State, error) {
	return asked(l.s, func(ctx context.Context, d *desk.Desk) (st library.State, err error) {
		if err := d.Library.SetCoach(ctx, id); err != nil {
			return st, err
		}
		return d.Library.State(ctx)
	})
}

// NameCoach says who marks in a new library; empty: not now, and do not ask again.
func (l *Library) NameCoach(name string) (library.State, error) {
	return asked(l.s, func(ctx context.Context, d *desk.Desk) (st library.State, err error) {
		if err := d.Catalogue.NameCoach(ctx, name); err != nil {
			return st, err
		}
		return d.Library.State(ctx)
	})
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
func (l *Library) Undo() (Change, error) {
	return asked(l.s, func(ctx context.Context, d *desk.Desk) (Change, error) {
		return l.changed(d.Library.Undo(ctx))
	})
}

// Redo brings back what was taken back last.
func (l *Library) Redo() (Change, error) {
	return asked(l.s, func(ctx context.Context, d *desk.Desk) (Change, error) {
		return l.changed(d.Library.Redo(ctx))
	})
}

func (l *Library) changed(ch store.Change, err error) (Change, error) {
	if err != nil {
		return Change{}, err
	}
	st, err := l.State()
	return Change{ch.Label, ch.Clips, ch.Catalogue, ch.Frame, st.Undo, st.Redo}, err
}

// Invented opens the invented club, which is made on the first call and tells its progress by
// events meanwhile; the library under work stays open until then.
func (l *Library) Invented() (library.State, error) {
	return answer(func() (st library.State, err error) {
		l.s.inventing.Lock() // pressed twice, it is made once
		defer l.s.inventing.Unlock()
		dir, err := inventedClub(l.s.window(), filepath.Join(xdg.DataHome, "strokeledger"), func(done, total int, name string) {
			// The page is told now and then: there are thousands of pictures.
			if done%50 == 0 || done == total {
				l.s.emit(eventProgress, progressEvent{"invented", done, total, name})
			}
		})
		if err != nil {
			return st, err
		}
		if err := l.s.swap(dir); err != nil {
			return st, err
		}
		return l.State()
	})
}

// Own goes back from the invented club to the library that the window was opened on, or to
// the usual one.
func (l *Library) Own() (library.State, error) {
	return answer(func() (st library.State, err error) {
		dir := l.s.began
		if dir == l.s.folder() {
			dir = usualLibrary()
		}
		if err := l.s.swap(dir); err != nil {
			return st, err
		}
		return l.State()
	})
}
