package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// keptBackups is how many daily backups stay; those of other kinds all do.
const keptBackups = 10

// backupFolder holds the backups that the program makes by itself.
const backupFolder = "backups"

// BackupDaily backs the ledger up unless that was done today already, and drops
// the oldest of these backups beyond the last ten. It returns the new file, ""
// where none was needed. Where the ledger turns out damaged the new backup goes
// and the old ones stay.
func (l *Library) BackupDaily(ctx context.Context) (file string, err error) {
	if l.readOnly {
		return "", nil
	}
	file = filepath.Join(l.dir, backupFolder, "ledger-daily-"+l.now().Format("20060102")+".db")
	if _, err := os.Lstat(file); err == nil {
		return "", nil
	}
	if err := l.Backup(ctx, file); err != nil {
		if errors.Is(err, fs.ErrExist) { // another window was quicker
			return "", nil
		}
		return "", err
	}
	copied := connect(file, "mode=ro&immutable=1", 1)
	if err := errors.Join(integrity(ctx, copied), copied.Close()); err != nil {
		return "", errors.Join(broken(ErrDamaged, l.dir, err), os.Remove(file))
	}
	return file, prune(filepath.Dir(file), "ledger-daily-*.db")
}

// prune removes all but the last backups of a kind; their names sort by time.
func prune(dir, pattern string) error {
	names, err := filepath.Glob(filepath.Join(globSafe(dir), pattern))
	if err != nil {
		return fmt.Errorf("list backups: %w", err)
	}
	slices.Sort(names)
	for _, name := range names[:max(0, len(names)-keptBackups)] {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// copies lists the files in the library's folder that hold the ledger as it once
// was: backups, what a repair kept, ledgers that were set aside.
func (l *Library) copies() ([]string, error) {
	var all []string
	for _, pattern := range []string{filepath.Join(backupFolder, "*"), "ledger-*", ".backup-*", ".new-*", ".repair-*", ".restored-*"} {
		names, err := filepath.Glob(filepath.Join(globSafe(l.dir), pattern))
		if err != nil {
			return nil, fmt.Errorf("list backups: %w", err)
		}
		all = append(all, names...)
	}
	return all, nil
}
