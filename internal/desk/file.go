package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"unicode"
	"unicode/utf8"

	"strokeledger/internal/club"
)

// WriteFile writes a document: to a temporary name beside it, synced, then
// renamed, readable by its owner alone. Where anything fails, what stood there
// before is untouched and nothing is left over.
func WriteFile(path string, write func(*os.File) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".strokeledger-*.part")
	if err != nil {
		return FileError("write", path, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return FileError("write", path, err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return FileError("write", path, err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return FileError("write", path, err)
	}
	return nil
}

// FileError says in one sentence what a file system would not do; other errors
// pass unchanged.
func FileError(verb, path string, err error) error {
	hint := ""
	switch {
	case errors.Is(err, fs.ErrNotExist):
		hint = "the folder is not there: make it, or choose another place"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		hint = "you may not do that there: choose another place, or ask for the right"
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		hint = "the disk is full: free some space, then try again"
	case errors.Is(err, syscall.EISDIR), errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		hint = "something else has that name: choose another name"
	default:
		return err
	}
	return &sentence{fmt.Sprintf("Could not %s %q: %s.", verb, path, hint), err}
}

// sentence is an error whose text is one plain sentence for people.
type sentence struct {
	say   string
	cause error
}

func (s *sentence) Error() string { return s.say }
func (s *sentence) Unwrap() error { return s.cause }

// Sentence is what a person is told of an error: one plain sentence.
func Sentence(err error) string {
	if p, ok := club.AsProblem(err); ok {
		return p.Say
	}
	switch {
	case errors.Is(err, context.Canceled):
		return "Stopped."
	case errors.Is(err, context.DeadlineExceeded):
		return "This took too long and was given up: try again, or check the drive."
	}
	text, _, _ := strings.Cut(err.Error(), "\n")
	first, size := utf8.DecodeRuneInString(text)
	text = string(unicode.ToUpper(first)) + text[size:]
	if !strings.HasSuffix(text, ".") {
		text += "."
	}
	return text
}
