// Package library is an open library with whoever works in it: the coach who marks,
// in whose name changes are made, the clock and the ids, and what goes on in the
// background. Every package below desk uses it.
package library

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/job"
	"strokeledger/internal/merge"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
)

// Library is an open library. It is safe for concurrent use. Every change is on disk
// when its method returns, as one step that can be undone.
type Library struct {
	*store.Library

	Dir     string // absolute
	Program string // its version, for documents
	Now     func() time.Time
	NewID   func() club.ID
	Jobs    *job.Group // what takes long; Close waits for it

	own  ownChanges // to tell what others write from what is written here
	safe daily
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

	Empty bool // a new library without the starter catalogue
}

// Open opens the library in a folder. The caller closes it.
func Open(ctx context.Context, dir string, o Options) (*Library, error) {
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
	l := &Library{Library: lib, Dir: dir, Program: o.Program, Now: o.Now, NewID: o.NewID, Jobs: job.NewGroup()}
	if o.Create && !o.Empty {
		if err := l.addStarter(ctx); err != nil {
			return nil, errors.Join(err, l.Close())
		}
	}
	if _, err := l.Others(ctx); err != nil { // what others do from now on is told
		return nil, errors.Join(err, l.Close())
	}
	return l, nil
}

// Close stops what takes long, waits for it and closes the library.
func (l *Library) Close() error {
	l.Jobs.Stop()
	l.Jobs.Wait()
	return l.Library.Close()
}

// The settings of a library.
const (
	settingCoach = "coach" // who is marking
	SettingDemo  = "demo"  // "yes" in the invented club
)

// addStarter gives a library without any definition the starter catalogue.
func (l *Library) addStarter(ctx context.Context) error {
	cat, err := l.Catalogue(ctx)
	if err != nil || len(cat.Coaches)+len(cat.Faults)+len(cat.Drills) > 0 {
		return err
	}
	if err := l.PutCatalogue(ctx, "starter catalogue", club.Starter(l.NewID)); err != nil {
		return err
	}
	if err := l.SetSetting(ctx, SettingNameless, "yes"); err != nil {
		return err
	}
	return l.ClearUndo(ctx)
}

// PutCatalogue stores definitions in one change and makes the first coach the
// one who marks.
func (l *Library) PutCatalogue(ctx context.Context, label string, cat club.Catalogue) error {
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
	if _, err := l.Library.Do(ctx, author, label, edits...); err != nil {
		return err
	}
	return l.SetSetting(ctx, settingCoach, string(author))
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
	Demo     bool    `json:"demo"` // the invented club
	// Blind says that the coach who marks looks at turns a second time, and does not see
	// what was marked in them.
	Blind bool `json:"blind"`
	// Tested says the same of the turns of a test of the coach who marks.
	Tested   bool `json:"tested"`
	Nameless bool `json:"nameless"` // the coach of a new library has not said who it is
}

// State tells what library is open, who marks, and what can be undone.
func (l *Library) State(ctx context.Context) (State, error) {
	s := State{Dir: l.Dir, Name: filepath.Base(l.Dir), Warning: l.warning(), ReadOnly: l.ReadOnly()}
	coach, err := l.Coach(ctx)
	if err != nil {
		return s, err
	}
	s.CoachID = coach
	demo, err := l.Setting(ctx, SettingDemo)
	if err != nil {
		return s, err
	}
	s.Demo = demo == "yes"
	if s.Nameless, err = l.nameless(ctx, coach); err != nil {
		return s, err
	}
	looks, err := store.All[standard.BlindLook](ctx, l.Library)
	if err != nil {
		return s, err
	}
	s.Blind = slices.ContainsFunc(looks, func(b standard.BlindLook) bool { return b.Open() && b.CoachID == coach })
	tests, err := store.All[standard.Trial](ctx, l.Library)
	if err != nil {
		return s, err
	}
	s.Tested = slices.ContainsFunc(tests, func(t standard.Trial) bool { return t.Open() && t.CoachID == coach })
	s.Undo, s.Redo, err = l.History(ctx)
	return s, err
}

// Coach is who marks: the one chosen last, else the first still in the team; empty
// where there is none.
func (l *Library) Coach(ctx context.Context) (club.ID, error) {
	chosen, err := l.Setting(ctx, settingCoach)
	if err != nil {
		return "", err
	}
	// The one chosen may have retired since, or be undone.
	switch c, err := store.Get[club.Coach](ctx, l.Library, club.ID(chosen)); {
	case err == nil && !c.Retired:
		return c.ID, nil
	case err != nil && !errors.Is(err, store.ErrUnknown):
		return "", err
	}
	cat, err := l.Catalogue(ctx)
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
func (l *Library) SetCoach(ctx context.Context, id club.ID) error {
	cat, err := l.Catalogue(ctx)
	if err != nil {
		return err
	}
	c, err := Find(cat.Coaches, id, func(c club.Coach) club.ID { return c.ID }, "coach")
	if err != nil {
		return err
	}
	if c.Retired {
		return &club.Problem{Field: "coach", Say: "This coach is retired: bring the coach back first, or pick another."}
	}
	return l.SetSetting(ctx, settingCoach, string(id))
}

// Do makes one change in the name of the coach who marks.
func (l *Library) Do(ctx context.Context, label string, edits ...store.Edit) (store.Change, error) {
	author, err := l.Coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return l.DoAs(ctx, author, label, edits...)
}

// Undo takes back the last change that is not taken back yet; store.ErrNothing
// where there is none.
func (l *Library) Undo(ctx context.Context) (store.Change, error) {
	author, err := l.Coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return l.own.count(l.Library.Undo(ctx, author))
}

// Redo brings back the change that was taken back last; store.ErrNothing where
// there is none.
func (l *Library) Redo(ctx context.Context) (store.Change, error) {
	author, err := l.Coach(ctx)
	if err != nil {
		return store.Change{}, err
	}
	return l.own.count(l.Library.Redo(ctx, author))
}

// Amend changes what is known of a clip's file without a step of undo; a library
// that is only looked at keeps what it has.
func (l *Library) Amend(ctx context.Context, label string, row club.Clip) error {
	author, err := l.Coach(ctx)
	if err != nil {
		return err
	}
	_, err = l.own.count(l.Library.Amend(ctx, author, label, store.Put(row)))
	if errors.Is(err, store.ErrReadOnly) {
		return nil
	}
	return err
}

// Today is the day where the computer stands.
func (l *Library) Today() club.Date { return club.Date(l.Now().Format(time.DateOnly)) }

// SettingNameless is "yes" in a new library until its coach has said who it is.
const SettingNameless = "nameless coach"

// nameless reports whether the coach who marks is still the one that a new
// library begins with.
func (l *Library) nameless(ctx context.Context, coach club.ID) (bool, error) {
	asked, err := l.Setting(ctx, SettingNameless)
	if err != nil || asked != "yes" || coach == "" || l.ReadOnly() {
		return false, err
	}
	c, err := store.Get[club.Coach](ctx, l.Library, coach)
	return c.Name == starterCoach(), err
}

func starterCoach() string {
	return club.Starter(func() club.ID { return "" }).Coaches[0].Name
}

// DoAs makes one change in the name of a coach.
func (l *Library) DoAs(ctx context.Context, author club.ID, label string, edits ...store.Edit) (store.Change, error) {
	return l.own.count(l.Library.Do(ctx, author, label, edits...))
}

// TakeIn takes in what merging with another library came to, see store.Library.Take.
func (l *Library) TakeIn(ctx context.Context, now merge.Stamp, from merge.State, file merge.Taken, writes []merge.Write) (store.Change, error) {
	return l.own.count(l.Library.Take(ctx, now, from, file, writes))
}
