package desk

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/document"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// Wrote puts a file that was written from the library on the list of documents,
// with the players that it shows or names, so that forgetting one of them finds
// it. A library that cannot be written keeps no list.
func (d *Desk) Wrote(ctx context.Context, path, format string, players []club.ID) error {
	path, err := filepath.Abs(path)
	if err != nil || d.Library.ReadOnly() {
		return err
	}
	// The file's own time tells later whether somebody has changed it since.
	made := d.Library.Now()
	if info, err := os.Stat(path); err == nil {
		made = info.ModTime()
	}
	return d.Library.NoteExport(ctx, store.Export{Path: path, Format: format, Made: made, Players: players})
}

// listed writes files that are on the list of documents before they are on the disk:
// a program that is killed in between leaves no document that nobody finds.
func (d *Desk) listed(ctx context.Context, paths []string, format string, players []club.ID, write func() error) (err error) {
	whole := make([]string, len(paths))
	for i, path := range paths {
		if whole[i], err = filepath.Abs(path); err != nil {
			return err
		}
		if err := d.free(ctx, whole[i]); err != nil {
			return err
		}
	}
	if d.Library.ReadOnly() {
		return write()
	}
	for i, path := range whole {
		if err = d.Library.PlanExport(ctx, path, format, players); err != nil {
			whole = whole[:i]
			break
		}
	}
	if err == nil {
		err = write()
	}
	if err != nil {
		for _, path := range whole {
			// Where this fails a file stands on the list that is not there: no harm.
			_ = d.Library.DropPlan(context.WithoutCancel(ctx), path)
		}
		return err
	}
	for _, path := range whole {
		if err := d.Wrote(ctx, path, format, players); err != nil {
			return err
		}
	}
	return nil
}

// free refuses a name under which a document would destroy something else: what is
// no ordinary file, the library's own files, and the films of its clips.
func (d *Desk) free(ctx context.Context, path string) error {
	// First of all: a program that opens and closes its own ledger beside SQLite loses
	// the locks on it.
	if d.Library.Owns(path) {
		return document.PartOfLibrary(path)
	}
	if err := document.Replaceable(path); err != nil {
		return err
	}
	there, err := os.Lstat(path)
	if err != nil {
		return nil // nothing to destroy
	}
	clips, err := d.Library.Clips(ctx)
	if err != nil {
		return err
	}
	for _, c := range clips {
		if !strings.EqualFold(filepath.Base(c.Path), there.Name()) {
			continue
		}
		if film, err := os.Lstat(c.Path); err == nil && os.SameFile(film, there) {
			return &club.Problem{Say: fmt.Sprintf("%q is the film of the clip %q: choose another name.", path, c.Name)}
		}
	}
	return nil
}

// WriteOf writes a document about what a query asks for, see WriteFile, and puts
// it on the list.
func (d *Desk) WriteOf(ctx context.Context, q Query, format, path string, write func(*os.File) error) error {
	players := q.Players
	if len(players) == 0 {
		var err error
		if players, err = d.everyone(ctx); err != nil {
			return err
		}
	}
	return d.listed(ctx, []string{path}, format, players, func() error { return document.Write(path, write) })
}

// everyone is all players of the club.
func (d *Desk) everyone(ctx context.Context) (all []club.ID, err error) {
	cat, err := d.Library.Catalogue(ctx)
	for _, p := range cat.Players {
		all = append(all, p.ID)
	}
	return all, err
}

// WriteOfClip does the same for documents about one clip: all of them or none.
func (d *Desk) WriteOfClip(ctx context.Context, clip club.ID, format string, files ...document.File) error {
	led, err := d.Library.OfClip(ctx, clip)
	if err != nil {
		return err
	}
	var players []club.ID
	for _, t := range led.Turns {
		players = append(players, t.PlayerID)
	}
	paths := make([]string, len(files))
	for i, f := range files {
		paths[i] = f.Path
	}
	return d.listed(ctx, paths, format, players, func() error { return document.WriteAll(files...) })
}

// Backup writes the ledger to a file, in one piece, while others go on working.
// The file is on the list of documents, for every player of the club.
func (d *Desk) Backup(ctx context.Context, file string) error {
	all, err := d.everyone(ctx)
	if err != nil {
		return err
	}
	write := func() error { return sentence.File("write", file, d.Library.Backup(ctx, file)) }
	if _, err := os.Lstat(file); err == nil {
		return write() // refuses: what is there is not to stand on the list
	}
	return d.listed(ctx, []string{file}, "backup", all, write)
}
