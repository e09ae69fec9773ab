package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Unmade returns what takes away again a library that is made in dir after this
// call, and the folder where that was made for it; it does nothing where a library
// is there now. The library must be closed, and hold nothing.
func Unmade(dir string) (unmake func()) {
	_, there := os.Lstat(filepath.Join(dir, fileName))
	_, folder := os.Lstat(dir)
	return func() {
		if !errors.Is(there, fs.ErrNotExist) {
			return
		}
		removeLedger(filepath.Join(dir, fileName))
		_ = os.Remove(filepath.Join(dir, backupFolder)) // only where it is empty
		if errors.Is(folder, fs.ErrNotExist) {
			_ = os.Remove(dir) // likewise
		}
	}
}
