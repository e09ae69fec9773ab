// Package atomicfile writes files whole or not at all, so that neither a fault nor a
// power cut leaves half of one, or takes away one that was said to be written.
package atomicfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
)

// File is a file under a temporary name in the folder in which it is to stand,
// readable and writable by its owner alone. Others may write to it by its Name
// meanwhile. Commit or CommitNew gives it its own name; Discard ends its use. Not
// safe for concurrent use.
type File struct {
	*os.File
	path   string
	closed bool
	gone   bool // under the temporary name nothing is left
	named  bool
	err    error
}

// Create makes the temporary file for path. Its name is made from the pattern as by
// [os.CreateTemp]. The error is the file system's own, as everywhere here.
func Create(path, pattern string) (*File, error) {
	f, err := os.CreateTemp(filepath.Dir(path), pattern)
	if err != nil {
		return nil, err
	}
	return &File{File: f, path: path}, nil
}

// Path is the name that the file is to get.
func (f *File) Path() string { return f.path }

// Named reports whether the file has got it.
func (f *File) Named() bool { return f.named }

// Close puts what was written on the disk, under the temporary name still. Calling it
// again returns the same.
func (f *File) Close() error {
	if !f.closed {
		f.closed = true
		f.err = errors.Join(f.Sync(), f.File.Close())
	}
	return f.err
}

// Commit closes the file and gives it its name, in the place of what has it. With an
// error from the folder alone the file stands there whole, but may not survive a
// power cut; with any other what was there is untouched, and Discard takes the new
// one away.
func (f *File) Commit() error {
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), f.path); err != nil {
		return err
	}
	f.gone, f.named = true, true
	return SyncFolder(filepath.Dir(f.path))
}

// CommitNew is Commit for a name that nothing has: else it returns [fs.ErrExist], and
// what is there stays. Two programs may try at once, but where the drive knows no hard
// links.
func (f *File) CommitNew() error {
	if err := f.Close(); err != nil {
		return err
	}
	switch err := os.Link(f.Name(), f.path); {
	case err == nil:
		f.named = true
		f.Discard()
		return SyncFolder(filepath.Dir(f.path))
	case errors.Is(err, fs.ErrExist):
		return err
	}
	if _, err := os.Lstat(f.path); err == nil {
		return &fs.PathError{Op: "create", Path: f.path, Err: fs.ErrExist}
	}
	return f.Commit()
}

// Discard removes the file under its temporary name; one that has its own stays.
func (f *File) Discard() {
	if f.gone {
		return
	}
	f.gone, f.closed = true, true
	_ = f.File.Close()
	_ = os.Remove(f.Name())
}

// MkdirAll makes a folder for its owner alone, with those around it, where it is not
// there, so that it survives a power cut.
func MkdirAll(dir string) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if parent := filepath.Dir(dir); parent != dir {
		if err := MkdirAll(parent); err != nil {
			return err
		}
	}
	if err := os.Mkdir(dir, 0o700); err != nil {
		if info, e := os.Stat(dir); e == nil && info.IsDir() {
			return nil // another was quicker
		}
		return err
	}
	return SyncFolder(filepath.Dir(dir))
}

// SyncFolder makes the names in a folder survive a power cut. Where a system cannot do
// that for folders, or the folder may not be read or is gone, there is nothing to do.
func SyncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil
	}
	return errors.Join(err, d.Close())
}
