// Package preference keeps how somebody likes to work on this computer, whatever the
// library: keys, text size, the window's place. None of it is worth a failure.
package preference

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"strokeledger/internal/atomicfile"
)

// maxBytes of a file of preferences: what is larger was not written here.
const maxBytes = 1 << 20

// File holds values by their keys. It is safe for concurrent use; of two programs that keep
// the same key at the same time, one wins.
type File struct {
	path string
	mu   sync.Mutex
}

// In is the file of that name, which need not be there yet.
func In(path string) *File { return &File{path: path} }

// All returns every value that is kept. A file that cannot be read, or that something else
// has written, holds none.
func (f *File) All() map[string]string {
	f.mu.Lock()
	defer f.mu.Unlock()
	all, _ := f.read()
	return all
}

// read reports an error where there is a file and it could not be understood.
func (f *File) read() (map[string]string, error) {
	all := map[string]string{}
	info, err := os.Stat(f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return all, nil
	}
	if err == nil && info.Size() > maxBytes {
		err = errors.New("too large")
	}
	if err != nil {
		return all, err
	}
	raw, err := os.ReadFile(f.path)
	if err == nil {
		err = json.Unmarshal(raw, &all)
	}
	if err != nil || all == nil {
		return map[string]string{}, err
	}
	return all, nil
}

// Keep puts a value in the place of what was kept under its key; an empty one takes it away.
// What could not be understood stands beside the new file, with ".unreadable" at its end.
// The error is the file system's own.
func (f *File) Keep(key, value string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	all, err := f.read()
	if err != nil {
		_ = os.Rename(f.path, f.path+".unreadable")
	}
	if all[key] == value {
		return nil
	}
	if all[key] = value; value == "" {
		delete(all, key)
	}
	raw, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(f.path), 0o700); err != nil {
		return err
	}
	out, err := atomicfile.Create(f.path, ".preferences-*")
	if err != nil {
		return err
	}
	defer out.Discard()
	if _, err := out.Write(append(raw, '\n')); err != nil {
		return err
	}
	return out.Commit()
}
