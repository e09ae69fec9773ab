// Package desk holds the use cases of the program: put clips into the library,
// mark, log strokes, give turns, undo, sum up, export. The window and the
// commands are two faces of it. It knows no window, no SQL and no FFmpeg.
//
// A [Desk] is safe for concurrent use. Every change is on disk when its method
// returns, as one step that can be undone.
package desk

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Desk works on one open library.
type Desk struct {
	lib     *store.Library
	open    *pool
	dir     string
	now     func() time.Time
	newID   func() club.ID
	program string // its version
	own     tide   // to tell what others write from what this desk writes
	jobs    *jobs
	safe    keeper // of the daily backups
	heard   sounds // what was heard in clips
	files   sizer
}

// Options say how to open a library.
type Options struct {
	Create  bool             // make the library where there is none, with the starter catalogue
	Who     string           // what others who have to wait are told: "the window"
	Now     func() time.Time // nil: the computer's clock
	NewID   func() club.ID   // nil: club.NewID
	Program string           // its version, for documents
	// Waiting is told, from any goroutine, how many clips are ready of how many
	// while a summary waits for them, see store.Options. Nil: nobody.
	Waiting func(done, total int)

	bare bool // without the starter catalogue
}

// The settings that the desk keeps in the library.
const (
	settingCoach = "coach" // who is marking
	settingDemo  = "demo"  // "yes" in the invented club
)

// Open opens the library in a folder. The caller closes the desk.
func Open(ctx context.Context, dir string, o Options) (*Desk, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewID == nil {
		o.NewID = club.NewID
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	lib, err := store.Open(ctx, dir, store.Options{Create: o.Create, Now: o.Now, NewID: o.NewID, Who: o.Who, Waiting: o.Waiting})
	if err != nil {
		return nil, err
	}
	d := &Desk{lib: lib, dir: dir, program: o.Program, now: o.Now, newID: o.NewID, jobs: newJobs(), files: &clip.Finder{}}
	d.open = newPool(d.openClip)
	if o.Create && !o.bare {
		if err := d.furnish(ctx); err != nil {
			return nil, errors.Join(err, d.Close())
		}
	}
	if _, err := d.Others(ctx); err != nil { // what others do from now on is told
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// Close stops what takes long, waits for it, and closes every clip and the
// library. What uses the desk later gets an error.
func (d *Desk) Close() error {
	d.jobs.stop()
	err := d.open.close() // ends the scans that jobs wait for
	d.jobs.wait()
	d.heard.close()
	return errors.Join(err, d.lib.Close())
}

// furnish gives a library without any definition the starter catalogue.
func (d *Desk) furnish(ctx context.Context) error {
	cat, err := d.lib.Catalogue(ctx)
	if err != nil || len(cat.Coaches)+len(cat.Faults)+len(cat.Drills) > 0 {
		return err
	}
	if err := d.putCatalogue(ctx, "starter catalogue", club.Starter(d.newID)); err != nil {
		return err
	}
	if err := d.lib.SetSetting(ctx, settingNameless, "yes"); err != nil {
		return err
	}
	return d.lib.Settle(ctx)
}

// putCatalogue stores definitions in one change and makes the first coach the
// one who marks.
func (d *Desk) putCatalogue(ctx context.Context, label string, cat club.Catalogue) error {
	var edits []store.Edit
	for _, c := range cat.Coaches {
		edits = append(edits, store.Put(c))
	}
	for _, p := range cat.Players {
		edits = append(edits, store.Put(p))
	}
	for _, r := range cat.Drills {
		edits = append(edits, store.Put(r))
	}
	for _, f := range cat.Faults {
		edits = append(edits, store.Put(f))
	}
	author := cat.Coaches[0].ID
	if _, err := d.lib.Do(ctx, author, label, edits...); err != nil {
		return err
	}
	return d.lib.SetSetting(ctx, settingCoach, string(author))
}

// State is what the frame of the window shows.
type State struct {
	Dir      string  `json:"dir"`
	Name     string  `json:"name"` // the folder's own name
	ReadOnly bool    `json:"read_only"`
	Warning  string  `json:"warning"` // one sentence, or empty
	CoachID  club.ID `json:"coach_id"`
	Undo     string  `json:"undo"` // label of what undo would take back, empty: nothing
	Redo     string  `json:"redo"`
	Demo     bool    `json:"demo"`     // the invented club
	Nameless bool    `json:"nameless"` // the coach of a new library has not said who it is
}

// State tells what library is open, who marks, and what can be undone.
func (d *Desk) State(ctx context.Context) (State, error) {
	s := State{Dir: d.dir, Name: filepath.Base(d.dir), Warning: d.warning(), ReadOnly: d.lib.ReadOnly()}
	coach, err := d.coach(ctx)
	if err != nil {
		return s, err
	}
	s.CoachID = coach
	demo, err := d.lib.Setting(ctx, settingDemo)
	if err != nil {
		return s, err
	}
	s.Demo = demo == "yes"
	if s.Nameless, err = d.nameless(ctx, coach); err != nil {
		return s, err
	}
	s.Undo, s.Redo, err = d.lib.History(ctx)
	return s, err
}

// coach is who marks: the one chosen last, else the first still in the team; empty
// where there is none.
func (d *Desk) coach(ctx context.Context) (club.ID, error) {
	chosen, err := d.lib.Setting(ctx, settingCoach)
	if err != nil {
		return "", err
	}
	// The one chosen may have retired since, or be undone.
	switch c, err := store.Get[club.Coach](ctx, d.lib, club.ID(chosen)); {
	case err == nil && !c.Retired:
		return c.ID, nil
	case err != nil && !errors.Is(err, store.ErrUnknown):
		return "", err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return "", err
	}
	for _, c := range cat.Coaches {
		if !c.Retired {
			return c.ID, nil
		}
	}
	return "", nil
}

// SetCoach says who marks from now on.
func (d *Desk) SetCoach(ctx context.Context, id club.ID) error {
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	c, err := find(cat.Coaches, id, func(c club.Coach) club.ID { return c.ID }, "coach")
	if err != nil {
		return err
	}
	if c.Retired {
		return &club.Problem{Field: "coach", Say: "This coach is retired: bring the coach back first, or pick another."}
	}
	return d.lib.SetSetting(ctx, settingCoach, string(id))
}

// do makes one change in the name of the coach who marks.
func (d *Desk) do(ctx context.Context, label string, edits ...store.Edit) (store.Change, error) {
	author, err := d.coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return d.own.count(d.lib.Do(ctx, author, label, edits...))
}

// Undo takes back the last change that is not taken back yet; store.ErrNothing
// where there is none.
func (d *Desk) Undo(ctx context.Context) (store.Change, error) {
	author, err := d.coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return d.own.count(d.lib.Undo(ctx, author))
}

// Redo brings back the change that was taken back last; store.ErrNothing where
// there is none.
func (d *Desk) Redo(ctx context.Context) (store.Change, error) {
	author, err := d.coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return d.own.count(d.lib.Redo(ctx, author))
}

// find picks the row with an id, or says that it is gone.
func find[T any](rows []T, id club.ID, of func(T) club.ID, what string) (T, error) {
	for _, r := range rows {
		if of(r) == id {
			return r, nil
		}
	}
	var none T
	return none, gone(what)
}

func gone(what string) error {
	return &club.Problem{Say: "This " + what + " is no longer in the library: go back and look again."}
}
