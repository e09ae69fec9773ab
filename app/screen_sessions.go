package main

import (
	"context"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/place"
)

// Sessions is the screen of training dates and their clips.
type Sessions struct{ s *shell }

// List returns a page of the sessions, newest first.
func (x *Sessions) List(page desk.Page) (desk.SessionPage, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.SessionPage, error) {
		return d.Sessions(ctx, page)
	})
}

// ToDo lists what is still to do.
func (x *Sessions) ToDo(q desk.ToDoQuery) (desk.ToDo, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (desk.ToDo, error) {
		return d.ToDo(ctx, q)
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
		return d.RecordedOn(ctx, paths)
	})
}

// Add puts files into the session of a day and tells its progress by events.
func (x *Sessions) Add(date string, paths []string) ([]desk.Added, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]desk.Added, error) {
		return d.AddClips(ctx, date, paths, func(done, total int, name string) {
			x.s.emit(eventProgress, progressEvent{"add", done, total, name})
		})
	})
}

// Relink asks where the file of a clip lies now; a clip that is left as it was
// comes back unchanged. Another file that is alike comes back with a question.
func (x *Sessions) Relink(clipID club.ID) (desk.Relinked, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (out desk.Relinked, err error) {
		// It may lie where the program finds it by itself.
		if out.Clip, err = d.Footage.Row(ctx, clipID); err != nil || !out.Clip.Missing {
			return out, err
		}
		path, err := runtime.OpenFileDialog(x.s.window(), runtime.OpenDialogOptions{Title: "Where is this clip now?", Filters: filmFilter()})
		if err != nil || path == "" {
			return out, err
		}
		return d.Relink(ctx, clipID, path)
	})
}

// Adopt takes a file that is alike in the place of a clip's own.
func (x *Sessions) Adopt(clipID club.ID, path string) (footage.ClipRow, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (footage.ClipRow, error) {
		return d.Adopt(ctx, clipID, path)
	})
}

// Save changes the date or the note of a session.
func (x *Sessions) Save(row club.Session) (club.Session, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (club.Session, error) {
		return d.SaveSession(ctx, row)
	})
}

// RemoveClip takes a clip and all that was entered on it out of the library; the
// file stays.
func (x *Sessions) RemoveClip(clipID club.ID) error {
	return x.s.do(func(ctx context.Context, d *desk.Desk) error {
		_, err := d.RemoveClip(ctx, clipID)
		return err
	})
}
