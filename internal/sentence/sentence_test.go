package sentence_test

import (
	"errors"
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
		errors.New("sqlite: some internal trouble"), errors.Join(errors.New("first"), errors.New("second")), clip.ErrClosed,
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
}
