// Package catalogue changes what a club defines: coaches, players, drills, faults.
package catalogue

import (
	"context"
	"slices"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Definitions are those of a library. They are safe for concurrent use.
type Definitions struct {
	lib *library.Library
}

// New are the definitions of a library.
func New(lib *library.Library) *Definitions {
	return &Definitions{lib: lib}
}

// SaveCoach adds (empty ID) or changes a coach, or retires one; likewise SavePlayer,
// SaveDrill and SaveFault. What breaks a rule is a *club.Problem, and nothing is
// changed.
func (d *Definitions) SaveCoach(ctx context.Context, c club.Coach) (club.Coach, error) {
	c.Name = strings.TrimSpace(c.Name)
	return save(ctx, d.lib, &c, &c.ID, "coach "+c.Name, func(cat club.Catalogue) error {
		if c.Retired && !slices.ContainsFunc(cat.Coaches, func(o club.Coach) bool { return !o.Retired && o.ID != c.ID }) {
			return &club.Problem{Field: "retired", Say: "A team needs at least one coach: add another before this one retires."}
		}
		return cat.CheckCoach(c)
	})
}

// SavePlayer is SaveCoach for a player.
func (d *Definitions) SavePlayer(ctx context.Context, p club.Player) (club.Player, error) {
	p.Name, p.Alias, p.Group = strings.TrimSpace(p.Name), strings.TrimSpace(p.Alias), strings.TrimSpace(p.Group)
	return save(ctx, d.lib, &p, &p.ID, "player "+p.Name, func(cat club.Catalogue) error { return cat.CheckPlayer(p) })
}

// SaveDrill is SaveCoach for a drill.
func (d *Definitions) SaveDrill(ctx context.Context, r club.Drill) (club.Drill, error) {
	r.Name = strings.TrimSpace(r.Name)
	return save(ctx, d.lib, &r, &r.ID, "drill "+r.Name, func(cat club.Catalogue) error { return cat.CheckDrill(r) })
}

// SaveFault is SaveCoach for a fault.
func (d *Definitions) SaveFault(ctx context.Context, f club.Fault) (club.Fault, error) {
	f.Code, f.Label = strings.TrimSpace(f.Code), strings.TrimSpace(f.Label)
	return save(ctx, d.lib, &f, &f.ID, "fault "+f.Code, func(cat club.Catalogue) error { return cat.CheckFault(f) })
}

// save checks one definition against the catalogue and stores it; id is the row's
// own ID, which is filled in where the row is new.
func save[T store.Row](ctx context.Context, lib *library.Library, row *T, id *club.ID, label string, check func(club.Catalogue) error) (T, error) {
	cat, err := lib.Catalogue(ctx)
	if err != nil {
		return *row, err
	}
	if err := check(cat); err != nil {
		return *row, err
	}
	verb := "change "
	if *id == "" {
		verb, *id = "add ", lib.NewID()
	}
	_, err = lib.Do(ctx, verb+label, store.Put(*row))
	return *row, err
}

// NameCoach says who marks in a new library; an empty name leaves it at that, and
// nobody asks again.
func (d *Definitions) NameCoach(ctx context.Context, name string) error {
	if name = strings.TrimSpace(name); name != "" {
		id, err := d.lib.Coach(ctx)
		if err != nil {
			return err
		}
		if _, err := d.SaveCoach(ctx, club.Coach{ID: id, Name: name}); err != nil {
			return err
		}
	}
	return d.lib.SetSetting(ctx, library.SettingNameless, "")
}
