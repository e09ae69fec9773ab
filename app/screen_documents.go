package main

import (
	"bytes"
	"context"
	"os"
	"sync"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
)

// Documents writes what leaves the library beside the summary: tables, films,
// captions.
type Documents struct {
	s *shell

	mu   sync.Mutex
	stop context.CancelFunc // of the film that is being made; nil: none is
}

// Table asks for a file and writes one table as CSV; it returns the path, empty
// where nothing was written.
func (x *Documents) Table(q summary.Query, form publish.TableForm) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		what := form.Which
		if what == "" {
			what = "faults"
		}
		name, err := d.Documents.FileName(ctx, what, q.Players, q.Names, "csv")
		if err != nil {
			return "", err
		}
		path, err = x.s.askWhere("Write the table", name)
		if err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.WriteOf(ctx, q, "csv", path, func(f *os.File) error { return d.Documents.Table(ctx, q, form, f) })
	})
}

// Reel asks for a file and writes a player's film to it, telling its progress by
// events of the job "reel". Its path is empty where nothing was written.
func (x *Documents) Reel(q publish.ReelQuery) (publish.ReelDone, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (done publish.ReelDone, err error) {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		if !x.begin(stop) {
			return done, &club.Problem{Say: "A film is being made already: wait for it, or stop it."}
		}
		defer x.end()
		what := "marks"
		if q.Good {
			what = "good-strokes"
		}
		name, err := d.Documents.FileName(ctx, what, []club.ID{q.Player}, q.Names, "mp4")
		if err != nil {
			return done, err
		}
		path, err := x.s.askWhere("Write the film", name)
		if err != nil || path == "" {
			return done, err
		}
		x.s.emit(eventProgress, progressEvent{"reel", 0, 0, "pictures"}) // the place is chosen
		return d.Documents.Reel(ctx, q, path, func(done, total int) {
			if done%25 == 0 || done == total { // as often as the eye wants it
				x.s.emit(eventProgress, progressEvent{"reel", done, total, "pictures"})
			}
		})
	})
}

func (x *Documents) begin(stop context.CancelFunc) bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.stop != nil {
		return false
	}
	x.stop = stop
	return true
}

func (x *Documents) end() {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.stop = nil
}

// StopReel stops the film that is being made; what was there before stays.
func (x *Documents) StopReel() (err error) {
	defer guard(&err)
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.stop != nil {
		x.stop()
	}
	return nil
}

// Captions asks for a file and writes the marks of a clip to it, or its turns as
// chapters, as WebVTT; it returns the path, empty where nothing was written.
func (x *Documents) Captions(clipID club.ID, chapters, names bool) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		what, write := "captions", d.Documents.Captions
		if chapters {
			what, write = "chapters", d.Documents.Chapters
		}
		name, err := d.Documents.TrackName(ctx, clipID, what)
		if err != nil {
			return "", err
		}
		path, err = x.s.askWhere("Write the track", name)
		if err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.WriteOfClip(ctx, clipID, "captions", document.File{Path: path, Write: func(f *os.File) error { return write(ctx, clipID, names, f) }})
	})
}

// FamilyPages asks for a folder and writes a page for each player's family into it,
// telling its progress by events of the job "family"; for one player alone it asks for a
// file, which it tells as the folder. That is empty where nothing was written.
func (x *Documents) FamilyPages(q publish.FamilyQuery) (publish.FamilyDone, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (done publish.FamilyDone, err error) {
		if len(q.Players) == 1 {
			return x.familyPage(ctx, d, q)
		}
		dir, err := x.s.askFolder("Write the pages into a folder")
		if err != nil || dir == "" {
			return done, err
		}
		return d.Documents.Families(ctx, q, dir, func(done, total int) {
			x.s.emit(eventProgress, progressEvent{"family", done, total, "pages"})
		})
	})
}

// familyPage writes the page of one player's family to a file that is asked for.
func (x *Documents) familyPage(ctx context.Context, d *desk.Desk, q publish.FamilyQuery) (done publish.FamilyDone, err error) {
	name, err := d.Documents.FileName(ctx, "family", q.Players, q.Names, "html")
	if err != nil {
		return done, err
	}
	path, err := x.s.askWhere("Write the page for the family", name)
	if err != nil || path == "" {
		return done, err
	}
	err = d.Documents.WriteOf(ctx, summary.Query{Players: q.Players}, "family", path, func(f *os.File) error {
		return d.Documents.FamilyPage(ctx, q, q.Players[0], f)
	})
	return publish.FamilyDone{Folder: path, Pages: 1}, err
}

// Preview makes a page to look at, and to print: the family's of the one player of q, with
// notes or without, or the coach's. It returns the address of the page, which is not on the list of documents:
// nobody knows what a printer makes of it.
func (x *Documents) Preview(q summary.Query, family, notes bool) (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (string, error) {
		var page bytes.Buffer
		switch {
		case !family:
			if err := d.Documents.Export(ctx, q, publish.HTML, &page); err != nil {
				return "", err
			}
		case len(q.Players) != 1:
			return "", &club.Problem{Say: "Choose one player first: a family's page is about one."}
		default:
			of := publish.FamilyQuery{From: q.From, To: q.To, Names: q.Names, Notes: notes, Unconsented: q.Unconsented}
			if err := d.Documents.FamilyPage(ctx, of, q.Players[0], &page); err != nil {
				return "", err
			}
		}
		return x.s.handed.show(page.Bytes()), nil
	})
}

// Open has the desktop open a document that this window has written.
func (x *Documents) Open(path string) (err error) {
	defer guard(&err)
	if err := x.s.handed.known(path); err != nil {
		return err
	}
	return openWith(path)
}

// ShowInFolder has the file manager show a document that this window has written.
func (x *Documents) ShowInFolder(path string) (err error) {
	defer guard(&err)
	if err := x.s.handed.known(path); err != nil {
		return err
	}
	return showInFolder(path)
}
