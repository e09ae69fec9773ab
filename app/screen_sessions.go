package main

import (
	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Sessions is the screen of training dates and their clips.
type Sessions struct{ s *shell }

// List returns a page of the sessions, newest first.
func (x *Sessions) List(page desk.Page) (out desk.SessionPage, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	return d.Sessions(ctx, page)
}

// ToDo lists what is still to do.
func (x *Sessions) ToDo(q desk.ToDoQuery) (list desk.ToDo, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return desk.ToDo{Rows: []desk.ToDoRow{}}, err
	}
	return d.ToDo(ctx, q)
}

// Absent tells which of these clips' files are not in place. It takes as long as a
// drive that does not answer is waited for.
func (x *Sessions) Absent(clipIDs []club.ID) (absent []desk.Absent, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []desk.Absent{}, err
	}
	return d.Absent(ctx, clipIDs)
}

// filmFilter shows the usual endings first; any file may be tried.
func filmFilter() []runtime.FileFilter {
	return []runtime.FileFilter{
		{DisplayName: "Films", Pattern: "*.mp4;*.mov;*.m4v;*.mts;*.m2ts;*.ts;*.avi;*.mkv;*.webm;*.mpg;*.mpeg;*.wmv;*.3gp;*.MP4;*.MOV;*.M4V;*.MTS;*.M2TS;*.TS;*.AVI;*.MKV;*.WEBM;*.MPG;*.MPEG;*.WMV;*.3GP"},
		{DisplayName: "All files", Pattern: "*"},
	}
}

// Pick asks for media files.
func (x *Sessions) Pick() (paths []string, err error) {
	defer guard(&err)
	paths, err = x.s.askFilms("Clips to put into the library")
	if paths == nil {
		paths = []string{}
	}
	return paths, err
}

// RecordedOn tells for each of these files on which day it was recorded, "" where
// nobody knows.
func (x *Sessions) RecordedOn(paths []string) (days []club.Date, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []club.Date{}, err
	}
	days, err = d.RecordedOn(ctx, paths)
	return append([]club.Date{}, days...), err
}

// Add puts files into the session of a day and tells its progress by events.
func (x *Sessions) Add(date string, paths []string) (rows []desk.Added, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []desk.Added{}, err
	}
	rows, err = d.AddClips(ctx, date, paths, func(done, total int, name string) {
		x.s.emit(eventProgress, progressEvent{"add", done, total, name})
	})
	return append([]desk.Added{}, rows...), err
}

// Relink asks where the file of a clip lies now; a clip that is left as it was
// comes back unchanged. Another file that is alike comes back with a question.
func (x *Sessions) Relink(clipID string) (out desk.Relinked, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	// It may lie where the program finds it by itself.
	if out.Clip, err = d.ClipRow(ctx, club.ID(clipID)); err != nil || !out.Clip.Missing {
		return out, err
	}
	path, err := runtime.OpenFileDialog(x.s.window(), runtime.OpenDialogOptions{Title: "Where is this clip now?", Filters: filmFilter()})
	if err != nil || path == "" {
		return out, err
	}
	return d.Relink(ctx, club.ID(clipID), path)
}

// Adopt takes a file that is alike in the place of a clip's own.
func (x *Sessions) Adopt(clipID, path string) (row desk.ClipRow, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return row, err
	}
	return d.Adopt(ctx, club.ID(clipID), path)
}

// Save changes the date or the note of a session.
func (x *Sessions) Save(row club.Session) (out club.Session, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	return d.SaveSession(ctx, row)
}

// RemoveClip takes a clip and all that was entered on it out of the library; the
// file stays.
func (x *Sessions) RemoveClip(clipID string) (err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return err
	}
	_, err = d.RemoveClip(ctx, club.ID(clipID))
	return err
}
