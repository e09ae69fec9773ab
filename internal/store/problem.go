package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/club"
	"strokeledger/internal/drive"
)

// Errors to be told from others. The first ones say what can be wrong with a library as
// a whole: the codes of problems, see [club.Problem], whose sentences name the folder.
var (
	errAbsent     = errors.New("no library there")
	errNotLibrary = errors.New("not a library")
	errNewer      = errors.New("library made by a newer version")
	ErrBusy       = errors.New("library locked by another writer")
	ErrReadOnly   = errors.New("library is read-only")
	ErrFull       = errors.New("disk is full")
	ErrDamaged    = errors.New("library is damaged")
	ErrDrive      = errors.New("library cannot be reached") // its drive was pulled, or its file moved
	errClosed     = errors.New("library is closed")

	ErrNothing = errors.New("nothing to undo or redo") // by Undo and Redo, where no step is left
	ErrUnknown = errors.New("no such row")             // for an ID that no living row has
)

func broken(code error, dir string, cause error) error {
	say := map[error]string{
		errAbsent:     "There is no library in %q: choose another folder, or make a new library there.",
		errNotLibrary: "The folder %q is not a library: choose a library's folder, or an empty folder for a new one.",
		errNewer:      "The library in %q was written by a newer version of this program: install that version to open it.",
		ErrBusy:       "Another window or command is writing to the library in %q: wait until it has finished, then try again.",
		ErrReadOnly:   "The library in %q can be read but not written: ask for the right to write there, or copy the folder to a place of your own.",
		ErrFull:       "The disk that holds the library in %q is full: free some space and try again; what was saved before is safe.",
		ErrDamaged:    "The library in %q is damaged: restore a backup, or run \"strokeledger check --repair\" to keep what can be kept.",
		errClosed:     "The library in %q was closed meanwhile: open it and do this again.",
		ErrDrive:      "The library in %q cannot be reached any more: plug its drive in or put the folder back, then open it again.",
	}[code]
	return &club.Problem{Code: code, Say: fmt.Sprintf(say, dir), Cause: cause}
}

// classify turns what SQLite or the file system reports into an error of this
// package; other errors, and those already classified, pass unchanged.
func (l *Library) classify(err error) error {
	err = l.name(classify(err, l.dir))
	if p, told := club.AsProblem(err); err != nil && l.isClosed.Load() && (!told || p.Entered()) {
		return broken(errClosed, l.dir, err)
	}
	return err
}

func classify(err error, dir string) error {
	if _, told := club.AsProblem(err); err == nil || told {
		return err
	}
	if errors.Is(err, errNewer) {
		return broken(errNewer, dir, err)
	}
	var e sqlite3.Error
	if !errors.As(err, &e) {
		return classifyFile(err, dir)
	}
	switch e.Code {
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return broken(ErrBusy, dir, err)
	case sqlite3.ErrFull:
		return broken(ErrFull, dir, err)
	case sqlite3.ErrReadonly:
		return broken(ErrReadOnly, dir, err)
	case sqlite3.ErrCorrupt, sqlite3.ErrNotADB, sqlite3.ErrFormat:
		return broken(ErrDamaged, dir, err)
	case sqlite3.ErrIoErr, sqlite3.ErrCantOpen, sqlite3.ErrPerm:
		return broken(probe(dir), dir, err)
	case sqlite3.ErrConstraint:
		return &club.Problem{Say: "This cannot be kept, because one of its values is outside what is allowed: look at the entry again."}
	}
	return err
}

// classifyFile does the same for what the file system reports.
func classifyFile(err error, dir string) error {
	var no syscall.Errno
	switch {
	case errors.Is(err, fs.ErrPermission), drive.IsReadOnly(err):
		return broken(ErrReadOnly, dir, err)
	case drive.IsFull(err):
		return broken(ErrFull, dir, err)
	case !errors.As(err, &no):
		return err
	case no == syscall.ENAMETOOLONG || no == syscall.ELOOP || no == syscall.EINVAL || no == syscall.ENOTDIR || no == syscall.EISDIR || no == syscall.EEXIST || no == syscall.ENOENT:
		return &club.Problem{Code: errNotLibrary, Say: fmt.Sprintf("No library can lie in %q: choose another folder, with a plainer and shorter name.", shortened(dir)), Cause: err}
	}
	return broken(ErrDrive, dir, err)
}

// shortened keeps a sentence readable whose path is not.
func shortened(path string) string {
	const most = 200 // characters
	if r := []rune(path); len(r) > most {
		return string(r[:most/2]) + "…" + string(r[len(r)-most/2:])
	}
	return path
}

// probe finds out what lies behind an input or output error that SQLite cannot
// tell apart.
func probe(dir string) error {
	switch {
	case !isFile(filepath.Join(dir, fileName)):
		return ErrDrive
	case drive.FreeBytes(dir) < 1<<20:
		return ErrFull
	case !drive.Writable(dir):
		return ErrReadOnly
	}
	return ErrDrive
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}
