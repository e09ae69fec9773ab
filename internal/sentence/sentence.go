// Package sentence says what a person is told of an error: the sentence of the problem
// in it, see [club.Problem], or one for what nobody has put into words.
package sentence

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"

	"strokeledger/internal/club"
)

// ErrFile is the code of what File says.
var ErrFile = errors.New("file cannot be used")

// File says in one sentence what a file system would not do. What is told already, and
// what stops by order, passes unchanged.
func File(verb, path string, err error) error {
	if _, told := club.AsProblem(err); err == nil || told || errors.Is(err, context.Canceled) {
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
	return &club.Problem{Code: ErrFile, Say: fmt.Sprintf("Could not %s %q: %s.", verb, path, hint), Cause: err}
}

// Of is what a person is told of an error: one plain sentence.
func Of(err error) string {
	p, told := club.AsProblem(err)
	switch {
	case told && p.Entered():
		return p.Say
	case errors.Is(err, context.Canceled):
		return "Stopped."
	case errors.Is(err, context.DeadlineExceeded):
		return "This took too long and was given up: try again, or check the drive."
	case told:
		return p.Say
	}
	text, _, _ := strings.Cut(err.Error(), "\n")
	return fmt.Sprintf("Something went wrong that was not foreseen (%s): try again, and start the program anew if it happens once more.", text)
}
