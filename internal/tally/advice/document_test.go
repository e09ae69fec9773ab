package advice_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/advice"
)

// The conditions of all sentences stand in DEVELOPERS.md as they do here. With
// SENTENCES_WRITE=1 they are written there.
func TestSentencesAreDocumented(t *testing.T) {
	var b strings.Builder
	for _, term := range advice.Terms() {
		fmt.Fprintf(&b, "- *%s*: %s.\n", term[0], term[1])
	}
	on := advice.Subject("")
	for _, s := range advice.Sentences() {
		if s.On != on {
			on = s.On
			fmt.Fprintf(&b, "\nOn %s:\n\n| sentence | says | when | claims |\n|---|---|---|---|\n", on)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", s.ID, s.Says, s.When, s.Claims)
	}
	const path, begins, ends = "../../../DEVELOPERS.md", "<!-- sentences -->\n", "<!-- end of sentences -->\n"
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(text), begins)
	require.True(t, ok)
	written, after, ok := strings.Cut(rest, ends)
	require.True(t, ok)
	if os.Getenv("SENTENCES_WRITE") == "1" {
		require.NoError(t, os.WriteFile(path, []byte(before+begins+b.String()+ends+after), 0o644))
		return
	}
	assert.Equal(t, b.String(), written, "run it with SENTENCES_WRITE=1")
}
