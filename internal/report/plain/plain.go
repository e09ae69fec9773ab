// Package plain makes what people have entered safe to show. It is pure.
package plain

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"strokeledger/internal/club"
)

// Text makes text safe for one line of a terminal or a sentence: no control
// character, no override of the writing direction, spaces for line breaks, and
// at most that many characters as a reader sees them.
func Text(s string, most int) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == unicode.ReplacementChar,
			'\u202a' <= r && r <= '\u202e', '\u2066' <= r && r <= '\u2069':
			return -1
		default:
			return r
		}
	}, s)
	return club.Isolated(Cut(s, most))
}

// Cut shortens text to at most that many characters as a reader sees them.
func Cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	var b strings.Builder
	rest, state := s, -1
	for n := 0; rest != ""; n++ {
		var c string
		c, rest, _, state = uniseg.FirstGraphemeClusterInString(rest, state)
		if n == most-1 && rest != "" {
			b.WriteString("…")
			break
		}
		// A cluster can be as long as its writer likes: keep what a reader can see.
		if len(c) > 64 {
			c = "�"
		}
		b.WriteString(c)
	}
	return b.String()
}
