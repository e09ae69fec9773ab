package store

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Kept is a backup in the folder of a library.
type Kept struct {
	Path  string
	Kind  string // "daily", "before-restore" or "version": before a newer program changed it
	Made  time.Time
	Bytes int64
}

// Backups lists what Restore can put in the place of the ledger of the library in
// dir, newest first: the backups that the program has made there by itself. The
// ledger may be damaged or lost, and is not looked at.
func Backups(dir string) ([]Kept, error) {
	names, err := filepath.Glob(filepath.Join(globSafe(dir), backupFolder, "ledger-*.db"))
	if err != nil {
		return nil, fmt.Errorf("list backups: %w", err)
	}
	all := []Kept{}
	for _, path := range names {
		kind := ""
		for _, k := range []string{"daily", "before-restore", "version"} {
			if strings.HasPrefix(filepath.Base(path), "ledger-"+k+"-") {
				kind = k
			}
		}
		if kind == "" { // a damaged ledger that was set aside
			continue
		}
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue // another window has dropped it meanwhile
		}
		if err != nil {
			return nil, err
		}
		all = append(all, Kept{path, kind, info.ModTime(), info.Size()})
	}
	slices.SortFunc(all, func(a, b Kept) int { return cmp.Or(b.Made.Compare(a.Made), cmp.Compare(b.Path, a.Path)) })
	return all, nil
}
