// Package backup works on a library's folder while the library is not open: the
// backups in it, going back to one, and repair.
package backup

import (
	"context"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Repair keeps what can be kept of the library in a folder in a new ledger, puts
// that in the place of the damaged one, which stays beside it under another name,
// and tells, one sentence each, what could not be kept. The library must not be
// open meanwhile.
func Repair(ctx context.Context, dir string) (said []string, err error) {
	file, rep, err := store.Repair(ctx, dir, store.Options{})
	if err != nil {
		return nil, err
	}
	return rep.Findings, store.Restore(ctx, dir, file, store.Options{})
}

// Restore puts a backup in the place of the ledger of a library, which must not be
// open here; the backup is checked first, and what it replaces is kept beside it.
// Programs that try to write meanwhile are told that who has the library.
func Restore(ctx context.Context, dir, file, who string) error {
	return store.Restore(ctx, dir, file, store.Options{Who: who})
}

// Kept is a backup in the folder of a library, made by the program itself.
type Kept struct {
	Path  string    `json:"path"`
	Kind  string    `json:"kind"` // "daily", "before-restore" or "version": before a newer program changed it
	Day   club.Date `json:"day"`  // on which it was made, where the computer stands
	Clock string    `json:"clock"`
	Bytes int64     `json:"bytes"`
}

// Backups lists those of the library in a folder, newest first, whether it can be
// opened or not.
func Backups(dir string) ([]Kept, error) {
	found, err := store.Backups(dir)
	if err != nil {
		return nil, err
	}
	all := make([]Kept, len(found))
	for i, k := range found {
		made := k.Made.Local()
		all[i] = Kept{k.Path, k.Kind, club.Date(made.Format(time.DateOnly)), made.Format("15:04"), k.Bytes}
	}
	return all, nil
}
