package main

import (
	"context"
	"errors"
	"time"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/backup"
	"strokeledger/internal/store"
)

// Safety is what keeps the ledger whole: backups, a check for damage, and what can
// be done about it. It answers also where the library cannot be opened.
type Safety struct{ s *shell }

// SafetyStatus is what there is to go back to.
type SafetyStatus struct {
	Dir     string        `json:"dir"`
	Damaged bool          `json:"damaged"` // the library cannot be opened: go back, or repair it
	Backups []backup.Kept `json:"backups"` // newest first
}

// Status lists the backups in the library's folder.
func (x *Safety) Status() (SafetyStatus, error) {
	return answer(func() (status SafetyStatus, err error) {
		_, _, err = x.s.open()
		status.Dir, status.Damaged = x.s.folder(), errors.Is(err, store.ErrDamaged)
		status.Backups, err = backup.Backups(status.Dir)
		return status, err
	})
}

// BackUp asks for a file and writes the ledger to it; it returns the path, empty
// where nothing was written.
func (x *Safety) BackUp() (string, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (path string, err error) {
		name := "strokeledger-backup-" + time.Now().Format(time.DateOnly) + ".db"
		if path, err = x.s.askWhere("Write a backup", name); err != nil || path == "" {
			return "", err
		}
		return path, d.Documents.Backup(ctx, path)
	})
}

// PickBackup asks for a file to go back to; empty where none was chosen.
func (x *Safety) PickBackup() (string, error) {
	return answer(func() (string, error) {
		return runtime.OpenFileDialog(x.s.window(), runtime.OpenDialogOptions{
			Title: "Backup of a library", Filters: []runtime.FileFilter{{DisplayName: "Backups (*.db)", Pattern: "*.db"}}, DefaultDirectory: x.s.documents.start(),
		})
	})
}

// Restore puts a backup in the ledger's place, which is kept as one itself.
func (x *Safety) Restore(path string) (err error) {
	defer guard(&err)
	return x.s.closed(func(ctx context.Context, dir string) error { return backup.Restore(ctx, dir, path, windowName) })
}

// Findings are sentences about what is not as it should be.
type Findings struct {
	Ledger []string `json:"ledger"` // in the ledger itself, which Repair may mend
	Files  []string `json:"files"`  // about the clips' files
	// Renewed says that a cache did not read and was made anew; empty where all did.
	Renewed string `json:"renewed"`
}

// Check looks for damage and for clips that are not in their place.
func (x *Safety) Check() (Findings, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (f Findings, err error) {
		if f.Ledger, f.Files, err = d.Check(ctx); err != nil {
			return f, err
		}
		f.Renewed, err = d.Library.Renewed(ctx)
		return f, err
	})
}

// Repair keeps what can be kept of the ledger in a new one and sets the damaged
// one aside; it tells, one sentence each, what could not be kept.
func (x *Safety) Repair() ([]string, error) {
	return answer(func() (lost []string, err error) {
		err = x.s.closed(func(ctx context.Context, dir string) (err error) {
			lost, err = backup.Repair(ctx, dir)
			return err
		})
		return lost, err
	})
}
