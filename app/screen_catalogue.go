package main

import (
	"context"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/catalogue"
	"strokeledger/internal/document"
)

// Catalogue is the club screen: players, drills, faults, coaches.
type Catalogue struct{ s *shell }

// Get returns every definition, the retired included.
func (c *Catalogue) Get() (club.Catalogue, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (club.Catalogue, error) {
		return d.Library.Catalogue(ctx)
	})
}

// SaveCoach adds (empty id), changes or retires a coach; likewise the others.
func (c *Catalogue) SaveCoach(row club.Coach) (club.Coach, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (club.Coach, error) {
		return d.Catalogue.SaveCoach(ctx, row)
	})
}

func (c *Catalogue) SavePlayer(row club.Player) (club.Player, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (club.Player, error) {
		return d.Catalogue.SavePlayer(ctx, row)
	})
}

func (c *Catalogue) SaveDrill(row club.Drill) (club.Drill, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (club.Drill, error) {
		return d.Catalogue.SaveDrill(ctx, row)
	})
}

func (c *Catalogue) SaveFault(row club.Fault) (club.Fault, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (club.Fault, error) {
		return d.Catalogue.SaveFault(ctx, row)
	})
}

// ImportRoster asks for a CSV file and adds its players.
func (c *Catalogue) ImportRoster() (catalogue.Roster, error) {
	return asked(c.s, func(ctx context.Context, d *desk.Desk) (out catalogue.Roster, err error) {
		path, err := runtime.OpenFileDialog(c.s.window(), runtime.OpenDialogOptions{
			Title:   "Roster: CSV with a column called name",
			Filters: []runtime.FileFilter{{DisplayName: "CSV (*.csv, *.txt)", Pattern: "*.csv;*.txt"}},
		})
		if err != nil || path == "" {
			return out, err
		}
		f, err := document.Open(path)
		if err != nil {
			return out, err
		}
		defer f.Close()
		return d.Catalogue.ImportRoster(ctx, f)
	})
}

// GiveConsent writes one consent down for several players.
func (c *Catalogue) GiveConsent(given catalogue.Consented) error {
	return c.s.do(func(ctx context.Context, d *desk.Desk) error { return d.Catalogue.GiveConsent(ctx, given) })
}
