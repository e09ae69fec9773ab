package main

import (
	"context"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/relink"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/todo"
)

// Sessions is the screen of training dates and their clips.
type Sessions struct{ s *shell }

// List returns a page of the sessions, newest first.
func (x *Sessions) List(page session.Page) (session.SessionPage, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (session.SessionPage, error) {
		return d.Sessions.List(ctx, page)
	})
}

// ToDo lists what is still to do.
func (x *Sessions) ToDo(q todo.Query) (todo.List, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (todo.List, error) {
		return d.ToDo.List(ctx, q)
	})
}

// Beside is the clip after another (by 1) or before it (by -1), empty where there is none.
func (x *Sessions) Beside(clipID club.ID, by int) (club.ID, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.ID, error) {
		return d.Sessions.Beside(ctx, clipID, by)
	})
}

// Absent tells which of these clips' files are not in place. It takes as long as a
// drive that does not answer is waited for.
func (x *Sessions) Absent(clipIDs []club.ID) ([]place.Absent, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]place.Absent, error) {
		return d.Place.Absent(ctx, clipIDs)
	})
}

// filmFilter shows the usual endings first; any file may be tried.
func filmFilter() []runtime.FileFilter {
	return []runtime.FileFilter{
		{DisplayName: "Films", Pattern: "*.mp4;*.mov;*.m4v;*.mts;*.m2ts;*.ts;*.avi;*.mkv;*.webm;*.mpg;*.mpeg;*.wmv;*.3gp;*.MP4;*.MOV;*.M4V;*.MTS;*.M2TS;*.TS;*.AVI;*.MKV;*.WEBM;*.MPG;*.MPEG;*.WMV;*.3GP"},
		{DisplayName: "All files", Pattern: "*"},
	}
}

// Pick asks for media files.
func (x *Sessions) Pick() ([]string, error) {
	return asked(x.s, func(context.Context, *desk.Desk) ([]string, error) {
		return x.s.askFilms("Clips to put into the library")
	})
}

// RecordedOn tells for each of these files on which day it was recorded, "" where
// nobody knows.
func (x *Sessions) RecordedOn(paths []string) ([]club.Date, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]club.Date, error) {
		return d.Sessions.RecordedOn(ctx, paths)
	})
}

// Add puts files into the session of a day and tells its progress by events.
func (x *Sessions) Add(date string, paths []string) ([]session.Added, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]session.Added, error) {
		return d.Sessions.Add(ctx, date, paths, func(done, total int, name string) {
			x.s.emit(eventProgress, progressEvent{"add", done, total, name})
		})
	})
}

// AddOn puts files into the sessions of their days, one day for each file.
func (x *Sessions) AddOn(days, paths []string) ([]session.Added, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]session.Added, error) {
		return d.Sessions.AddOn(ctx, days, paths, func(done, total int, name string) {
			x.s.emit(eventProgress, progressEvent{"add", done, total, name})
		})
	})
}

// Change gives a clip a title, empty for its file's name, and puts it into the session of a
// day.
func (x *Sessions) Change(clipID club.ID, title, day string) (club.Clip, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.Clip, error) {
		return d.Sessions.Change(ctx, clipID, title, day)
	})
}

// Relink asks where the file of a clip lies now; a clip that is left as it was
// comes back unchanged. Another file that is alike comes back with a question.
func (x *Sessions) Relink(clipID club.ID) (relink.Relinked, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (out relink.Relinked, err error) {
		// It may lie where the program finds it by itself.
		if out.Clip, err = d.Footage.Row(ctx, clipID); err != nil || !out.Clip.Missing {
			return out, err
		}
		path, err := runtime.OpenFileDialog(x.s.window(), runtime.OpenDialogOptions{Title: "Where is this clip now?", Filters: filmFilter()})
		if err != nil || path == "" {
			return out, err
		}
		return d.Relink.Relink(ctx, clipID, path)
	})
}

// Adopt takes a file that is alike in the place of a clip's own.
func (x *Sessions) Adopt(clipID club.ID, path string) (footage.ClipRow, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (footage.ClipRow, error) {
		return d.Relink.Adopt(ctx, clipID, path)
	})
}

// Save changes the date or the note of a session.
func (x *Sessions) Save(row club.Session) (club.Session, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.Session, error) {
		return d.Sessions.Save(ctx, row)
	})
}

// RemoveClip takes a clip and all that was entered on it out of the library; the
// file stays.
func (x *Sessions) RemoveClip(clipID club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		_, err := d.Sessions.RemoveClip(ctx, clipID)
		return err
	})
}
