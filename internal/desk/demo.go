package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/document"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// MakeDemo makes the invented club of a seed in a folder that is absent or empty:
// films in clips/, a library in library/, and truth.json. It returns the
// library's folder. progress, if not nil, counts pictures. Where it fails,
// nothing is left behind.
func MakeDemo(ctx context.Context, dir string, seed int64, progress func(done, total int, name string)) (folder string, err error) {
	if dir, err = filepath.Abs(dir); err != nil {
		return "", err
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return "", &club.Problem{Field: "dir", Say: fmt.Sprintf("The folder %q is not empty: choose a new or empty folder for the invented club.", dir)}
	}
	var made document.Batch
	clips := filepath.Join(dir, "clips")
	if err := made.Folder(clips); err != nil {
		made.Discard()
		return "", err
	}
	defer func() {
		if err != nil {
			for _, name := range []string{"clips", "library", "truth.json"} {
				err = errors.Join(err, os.RemoveAll(filepath.Join(dir, name)))
			}
			made.Discard()
		}
	}()
	c := demo.Make(seed)
	var one sync.Mutex // several films are drawn at once
	err = film.WriteAll(ctx, c.Scenes, clips, func(done, total int) {
		one.Lock()
		defer one.Unlock()
		if progress != nil {
			progress(done, total, "drawing")
		}
	})
	if err != nil {
		return "", sentence.File("write", clips, err)
	}
	if err := document.Write(filepath.Join(dir, "truth.json"), func(f *os.File) error { return c.WriteTruth(f) }); err != nil {
		return "", err
	}
	folder = filepath.Join(dir, "library")
	return folder, fill(ctx, c, folder, clips)
}

// fill makes the library of the invented club: definitions, then one change a
// clip, as the coaches would have entered it.
func fill(ctx context.Context, c demo.Club, folder, clips string) (err error) {
	d, err := Open(ctx, folder, library.Options{Create: true, Empty: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.Close()) }()
	if err := d.Library.PutCatalogue(ctx, "the invented club", c.Catalogue); err != nil {
		return err
	}
	if err := d.Library.SetSetting(ctx, library.SettingDemo, "yes"); err != nil {
		return err
	}
	var sessions []store.Edit
	for _, s := range c.Sessions {
		sessions = append(sessions, store.Put(s))
	}
	if _, err := d.Library.Do(ctx, "add sessions", sessions...); err != nil {
		return err
	}
	for _, s := range c.Scenes {
		if err := d.enter(ctx, s, filepath.Join(clips, s.File)); err != nil {
			return err
		}
	}
	for _, r := range c.Rulings {
		if _, err := d.Library.Do(ctx, "set a rung by hand", store.Put(r)); err != nil {
			return err
		}
	}
	for _, p := range c.Pairs {
		if _, err := d.Library.Do(ctx, "keep a pair", store.Put(p)); err != nil {
			return err
		}
	}
	return d.Library.ClearUndo(ctx)
}

// enter puts one film of the invented club and all that is known of it into the
// library.
func (d *Desk) enter(ctx context.Context, s *demo.Scene, path string) error {
	print, size, err := clip.Fingerprint(path)
	if err != nil {
		return err
	}
	film, err := d.Footage.OpenFile(ctx, path, print)
	if err != nil {
		return err
	}
	defer film.Close()
	ix, err := d.Footage.KeepIndex(ctx, film, print)
	if err != nil {
		return err
	}
	edits := []store.Edit{store.Put(footage.Measured(s.ClipID, s.SessionID, path, print, size, film.Info(), ix))}
	for _, t := range s.Turns {
		t.FirstTicks, t.LastTicks = ix.Ticks(t.First), ix.Ticks(t.Last)
		edits = append(edits, store.Put(t))
	}
	for _, k := range s.Strokes {
		k.Ticks = ix.Ticks(k.Frame)
		edits = append(edits, store.Put(k))
	}
	for _, m := range s.Marks {
		m.Ticks = ix.Ticks(m.Frame)
		edits = append(edits, store.Put(m))
	}
	for _, l := range s.Looks {
		l.FirstTicks, l.LastTicks = ix.Ticks(l.First), ix.Ticks(l.Last)
		edits = append(edits, store.Put(l))
	}
	for _, v := range s.Drawings {
		v.Ticks, v.FirstTicks, v.LastTicks = ix.Ticks(v.Frame), ix.Ticks(v.First), ix.Ticks(v.Last)
		edits = append(edits, store.Put(v))
	}
	_, err = d.Library.Do(ctx, "add clip "+s.File, edits...)
	return err
}
