package sentence_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

// No library's own words reach a person, except in brackets where nothing better
// is known.
func TestSentences(t *testing.T) {
	for _, err := range []error{
		errors.New("sqlite: some internal trouble"), errors.Join(errors.New("first"), errors.New("second")),
		&os.PathError{Op: "open", Path: "/x", Err: syscall.EIO},
	} {
		say := sentence.Of(err)
		require.Regexp(t, `^\p{Lu}[^\n]*: [^\n]*\.$`, say)
		say = sentence.Of(sentence.File("write", "/x", err))
		require.Regexp(t, `^\p{Lu}[^\n]*: [^\n]*\.$`, say)
	}
	require.NoError(t, sentence.File("write", "/x", nil))
	problem := &club.Problem{Say: "Pick another."}
	require.Equal(t, problem, sentence.File("write", "/x", problem))
	require.Contains(t, sentence.Of(errors.New("Some library speaks like us.")), "not foreseen")
}

// What is told of an error is the sentence that was made at the ground, whatever was
// added on the way, and programs know it by its code and its cause.
func TestTheSentenceIsFound(t *testing.T) {
	full := sentence.File("write", "/x", &os.PathError{Op: "write", Path: "/x", Err: syscall.ENOSPC})
	for _, err := range []error{full, fmt.Errorf("write film: %w", full), errors.Join(full, errors.New("close")), errors.Join(errors.New("close"), full)} {
		require.Equal(t, `Could not write "/x": the disk is full: free some space, then try again.`, sentence.Of(err))
		require.Equal(t, err, sentence.File("read", "/y", err))
		require.ErrorIs(t, err, sentence.ErrFile)
		require.ErrorIs(t, err, syscall.ENOSPC)
	}
	require.Equal(t, "Stopped.", sentence.Of(&club.Problem{Code: clip.ErrSlow, Say: "No.", Cause: context.Canceled}))
	require.Equal(t, "No.", sentence.Of(&club.Problem{Say: "No.", Cause: context.Canceled}), "what was entered stays wrong")
}
