package desk

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// The settings that the desk keeps in the library.
const (
	settingCoach = "coach" // who is marking
	settingDemo  = "demo"  // "yes" in the invented club
)

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
	return d.doAs(ctx, author, label, edits...)
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

// amend changes what is known of a clip's file without a step of undo; a library
// that is only looked at keeps what it has.
func (d *Desk) amend(ctx context.Context, label string, row club.Clip) error {
	author, err := d.coach(ctx)
	if err != nil {
		return err
	}
	_, err = d.own.count(d.lib.Amend(ctx, author, label, store.Put(row)))
	if errors.Is(err, store.ErrReadOnly) {
		return nil
	}
	return err
}

func (d *Desk) today() club.Date { return club.Date(d.now().Format(time.DateOnly)) }

// settingNameless is "yes" in a new library until its coach has said who it is.
const settingNameless = "nameless coach"

// nameless reports whether the coach who marks is still the one that a new
// library begins with.
func (d *Desk) nameless(ctx context.Context, coach club.ID) (bool, error) {
	asked, err := d.lib.Setting(ctx, settingNameless)
	if err != nil || asked != "yes" || coach == "" || d.lib.ReadOnly() {
		return false, err
	}
	c, err := store.Get[club.Coach](ctx, d.lib, coach)
	return c.Name == starterCoach(), err
}

func starterCoach() string {
	return club.Starter(func() club.ID { return "" }).Coaches[0].Name
}

// Catalogue returns everything that the club has defined.
func (d *Desk) Catalogue(ctx context.Context) (club.Catalogue, error) { return d.lib.Catalogue(ctx) }

// Renewed says that a cache.
func (d *Desk) Renewed(ctx context.Context) (string, error) { return d.lib.Renewed(ctx) }

// doAs makes one change in the name of a coach.
func (d *Desk) doAs(ctx context.Context, author club.ID, label string, edits ...store.Edit) (store.Change, error) {
	return d.own.count(d.lib.Do(ctx, author, label, edits...))
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
