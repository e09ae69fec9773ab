// Package sentence says what a person is told of an error: one plain sentence that
// says what to do.
package sentence

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"
	"unicode"
	"unicode/utf8"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
)

// File says in one sentence what a file system would not do; errors that are a
// sentence already, and cancellations, pass unchanged.
func File(verb, path string, err error) error {
	if err == nil || isSentence(err) || errors.Is(err, context.Canceled) {
		return err
	}
	hint := "look whether the drive is in order, or choose another place"
	switch {
	case errors.Is(err, fs.ErrNotExist) && verb == "read":
		hint = "it is not there: look at its name, or connect its drive"
	case errors.Is(err, fs.ErrNotExist):
		hint = "the folder is not there: make it, or choose another place"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		hint = "you may not do that there: choose another place, or ask for the right"
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		hint = "the disk is full: free some space, then try again"
	case errors.Is(err, syscall.ENAMETOOLONG), errors.Is(err, syscall.EINVAL):
		hint = "the drive does not take this name: choose a shorter and plainer one"
	case errors.Is(err, syscall.ELOOP):
		hint = "links lead round in a circle there: choose another place"
	case errors.Is(err, syscall.EISDIR), errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		hint = "something else has that name: choose another name"
	}
	return &sentence{fmt.Sprintf("Could not %s %q: %s.", verb, path, hint), err}
}

// New is an error that is told as this sentence.
func New(say string, cause error) error { return &sentence{say, cause} }

// sentence is an error whose text is one plain sentence for people.
type sentence struct {
	say   string
	cause error
}

func (s *sentence) Error() string { return s.say }

func (s *sentence) Unwrap() error { return s.cause }

// isSentence tells errors with a text for people, as this program's packages make
// them, from those of libraries.
func isSentence(err error) bool {
	text := firstLine(err)
	first, _ := utf8.DecodeRuneInString(text)
	return strings.HasSuffix(text, ".") && (unicode.IsUpper(first) || unicode.IsDigit(first) || first == '"')
}

// firstLine is the text of an error, or of the first of several that were joined.
func firstLine(err error) string {
	text, _, _ := strings.Cut(err.Error(), "\n")
	return text
}

// Of is what a person is told of an error: one plain sentence.
func Of(err error) string {
	if p, ok := club.AsProblem(err); ok {
		return p.Say
	}
	switch {
	case errors.Is(err, context.Canceled):
		return "Stopped."
	case errors.Is(err, context.DeadlineExceeded):
		return "This took too long and was given up: try again, or check the drive."
	case errors.Is(err, clip.ErrClosed):
		return "This clip was closed meanwhile: open it again."
	case isSentence(err):
		return firstLine(err)
	}
	return fmt.Sprintf("Something went wrong that was not foreseen (%s): try again, and start the program anew if it happens once more.", firstLine(err))
}
