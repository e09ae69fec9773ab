package main

import (

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
)

// Catalogue is the club screen: players, drills, faults, coaches.
type Catalogue struct{ s *shell }

// Get returns every definition, the retired included.
func (c *Catalogue) Get() (cat club.Catalogue, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return cat, err
	}
	cat, err = d.Catalogue(ctx)
	// The page wants lists, not nulls.
	cat.Coaches, cat.Players = append([]club.Coach{}, cat.Coaches...), append([]club.Player{}, cat.Players...)
	cat.Drills, cat.Faults = append([]club.Drill{}, cat.Drills...), append([]club.Fault{}, cat.Faults...)
	return cat, err
}

// SaveCoach adds (empty id), changes or retires a coach; likewise the others.
func (c *Catalogue) SaveCoach(row club.Coach) (out club.Coach, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return out, err
	}
	return d.SaveCoach(ctx, row)
}

func (c *Catalogue) SavePlayer(row club.Player) (out club.Player, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return out, err
	}
	return d.SavePlayer(ctx, row)
}

func (c *Catalogue) SaveDrill(row club.Drill) (out club.Drill, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return out, err
	}
	return d.SaveDrill(ctx, row)
}

func (c *Catalogue) SaveFault(row club.Fault) (out club.Fault, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return out, err
	}
	return d.SaveFault(ctx, row)
}

// ImportRoster asks for a CSV file and adds its players.
func (c *Catalogue) ImportRoster() (out desk.Roster, err error) {
	defer guard(&err)
	ctx, d, err := c.s.open()
	if err != nil {
		return out, err
	}
	out.Rows = []club.RosterProblem{}
	path, err := runtime.OpenFileDialog(c.s.window(), runtime.OpenDialogOptions{
		Title:   "Roster: CSV with a column called name",
		Filters: []runtime.FileFilter{{DisplayName: "CSV (*.csv, *.txt)", Pattern: "*.csv;*.txt"}},
	})
	if err != nil || path == "" {
		return out, err
	}
	f, err := desk.OpenFile(path)
	if err != nil {
		return out, err
	}
	defer f.Close()
	return d.ImportRoster(ctx, f)
}
