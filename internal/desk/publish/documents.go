// Package publish writes what leaves a library: summaries, tables, records, captions,
// films and backups. Each is on a list with the players that it shows, so that erasing
// one of them finds it.
package publish

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/consent"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/ruler"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// Documents are those that are written from a library. They are safe for concurrent
// use.
type Documents struct {
	lib     *library.Library
	place   *place.Finder
	footage *footage.Clips
	ladder  *ladder.Ladder
	consent *consent.Consents
	summary *summary.Summaries
	rulers  *ruler.Rulers
}

// New is for documents from a library.
func New(lib *library.Library, finder *place.Finder, clips *footage.Clips, rungs *ladder.Ladder, consents *consent.Consents, summaries *summary.Summaries, rulers *ruler.Rulers) *Documents {
	return &Documents{lib: lib, place: finder, footage: clips, ladder: rungs, consent: consents, summary: summaries, rulers: rulers}
}

// Wrote puts a file that was written from the library on the list of documents,
// with the players that it shows or names, so that forgetting one of them finds
// it. A library that cannot be written keeps no list.
func (d *Documents) Wrote(ctx context.Context, path, format string, players []club.ID) error {
	path, err := filepath.Abs(path)
	if err != nil || d.lib.ReadOnly() {
		return err
	}
	// The file's own time tells later whether somebody has changed it since.
	made := d.lib.Now()
	if info, err := os.Stat(path); err == nil {
		made = info.ModTime()
	}
	return d.lib.NoteExport(ctx, store.Export{Path: path, Format: format, Made: made, Players: players})
}

// planned is a file that is to be written, with the players that it shows.
type planned struct {
	path    string
	players []club.ID
}

// listed writes files that are on the list of documents before they are on the
// disk: a program that is killed in between leaves no document that is missing from
// the list.
func (d *Documents) listed(ctx context.Context, files []planned, format string, write func() error) (err error) {
	whole := slices.Clone(files)
	for i := range whole {
		if whole[i].path, err = filepath.Abs(files[i].path); err != nil {
			return err
		}
		if err := d.free(ctx, whole[i].path); err != nil {
			return err
		}
	}
	if d.lib.ReadOnly() {
		return write()
	}
	for i, f := range whole {
		if err = d.lib.PlanExport(ctx, f.path, format, f.players); err != nil {
			whole = whole[:i]
			break
		}
	}
	if err == nil {
		err = write()
	}
	if err != nil {
		for _, f := range whole {
			// Where this fails the list names a file that does not exist, which
			// does no harm.
			_ = d.lib.DropPlan(context.WithoutCancel(ctx), f.path)
		}
		return err
	}
	for _, f := range whole {
		if err := d.Wrote(ctx, f.path, format, f.players); err != nil {
			return err
		}
	}
	return nil
}

// free refuses a name under which a document would destroy something else: what is
// no ordinary file, the library's own files, and the films of its clips.
func (d *Documents) free(ctx context.Context, path string) error {
	// First of all: a program that opens and closes its own ledger beside SQLite loses
	// the locks on it.
	if d.lib.Owns(path) {
		return document.PartOfLibrary(path)
	}
	if err := document.Replaceable(path); err != nil {
		return err
	}
	there, err := os.Lstat(path)
	if err != nil {
		//lint:ignore nilerr nothing is there that could be destroyed
		return nil
	}
	clips, err := d.lib.Clips(ctx)
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

// WriteOf writes a document about what a query asks for, see document.Write, and puts
// it on the list.
func (d *Documents) WriteOf(ctx context.Context, q summary.Query, format, path string, write func(*os.File) error) error {
	players := q.Players
	if len(players) == 0 {
		var err error
		if players, err = d.everyone(ctx); err != nil {
			return err
		}
	}
	return d.listed(ctx, []planned{{path, players}}, format, func() error { return document.Write(path, write) })
}

// Listed writes one file and puts it on the list, with the players that it shows.
func (d *Documents) Listed(ctx context.Context, path, format string, players []club.ID, write func() error) error {
	return d.listed(ctx, []planned{{path, players}}, format, write)
}

// everyone is all players of the club.
func (d *Documents) everyone(ctx context.Context) (all []club.ID, err error) {
	cat, err := d.lib.Catalogue(ctx)
	for _, p := range cat.Players {
		all = append(all, p.ID)
	}
	return all, err
}

// WriteOfClip does the same for documents about one clip: all of them or none.
func (d *Documents) WriteOfClip(ctx context.Context, clip club.ID, format string, files ...document.File) error {
	led, err := d.lib.OfClip(ctx, clip)
	if err != nil {
		return err
	}
	var players []club.ID
	for _, t := range led.Turns {
		players = append(players, t.PlayerID)
	}
	all := make([]planned, len(files))
	for i, f := range files {
		all[i] = planned{f.Path, players}
	}
	return d.listed(ctx, all, format, func() error { return document.WriteAll(files...) })
}

// Backup writes the ledger to a file, in one piece, while others go on working.
// The file is on the list of documents, for every player of the club.
func (d *Documents) Backup(ctx context.Context, file string) error {
	all, err := d.everyone(ctx)
	if err != nil {
		return err
	}
	write := func() error { return sentence.File("write", file, d.lib.Backup(ctx, file)) }
	if _, err := os.Lstat(file); err == nil {
		return write() // refuses: what is there is not to stand on the list
	}
	return d.listed(ctx, []planned{{file, all}}, "backup", write)
}
