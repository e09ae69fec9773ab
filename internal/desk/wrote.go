package desk

import (
	"context"
	"os"
	"path/filepath"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Wrote puts a file that was written from the library on the list of documents,
// with the players that it shows or names, so that forgetting one of them finds
// it. A library that cannot be written keeps no list.
func (d *Desk) Wrote(ctx context.Context, path, format string, players []club.ID) error {
	path, err := filepath.Abs(path)
	if err != nil || d.lib.ReadOnly() {
		return err
	}
	return d.lib.NoteExport(ctx, store.Export{Path: path, Format: format, Made: d.now(), Players: players})
}

// WriteOf writes a document about what a query asks for, see WriteFile, and puts
// it on the list.
func (d *Desk) WriteOf(ctx context.Context, q Query, format, path string, write func(*os.File) error) error {
	players := q.Players
	if len(players) == 0 {
		cat, err := d.lib.Catalogue(ctx)
		if err != nil {
			return err
		}
		for _, p := range cat.Players {
			players = append(players, p.ID)
		}
	}
	if err := WriteFile(path, write); err != nil {
		return err
	}
	return d.Wrote(ctx, path, format, players)
}

// WriteOfClip does the same for a document about one clip.
func (d *Desk) WriteOfClip(ctx context.Context, clip club.ID, format, path string, write func(*os.File) error) error {
	led, err := d.lib.OfClip(ctx, clip)
	if err != nil {
		return err
	}
	if err := WriteFile(path, write); err != nil {
		return err
	}
	var players []club.ID
	for _, t := range led.Turns {
		players = append(players, t.PlayerID)
	}
	return d.Wrote(ctx, path, format, players)
}
