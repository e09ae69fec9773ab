package club

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The check values are Unicode UAX #9: an isolate begins with FSI (U+2068), and
// the matching PDI (U+2069) ends it and every override begun inside (X6a).
func TestIsolated(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 "",
		"Ada Lind":                         "Ada Lind",
		"乒乓, 5 of 7":                       "乒乓, 5 of 7",
		"עידו":                             "\u2068עידו\u2069",
		"Ada \u202edniL":                   "\u2068Ada \u202edniL\u2069",
		"a\u2069\u202eb":                   "\u2068a\u202eb\u2069",
		"\u2067mixed":                      "\u2068mixed\u2069",
		"\u2068\u2068left open \U0001f3d3": "\u2068left open \U0001f3d3\u2069",
	} {
		require.Equal(t, want, Isolated(text))
		require.Equal(t, strings.Count(want, "\u2068"), strings.Count(want, "\u2069"))
	}
}
