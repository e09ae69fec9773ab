package club

import (
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// The marks that keep the direction of a text to itself (Unicode UAX #9).
const (
	firstStrongIsolate = "\u2068"
	popIsolate         = "\u2069"
)

// Isolated is a text that people wrote, to be put into a sentence: one that is
// written from right to left, or says so by control characters, changes the
// direction of nothing beside it. What is plainly from left to right stays as it
// is. Not for data, which keeps every text as it was given.
func Isolated(text string) string {
	turns := false
	text = strings.Map(func(r rune) rune {
		p, _ := bidi.LookupRune(r)
		switch p.Class() {
		case bidi.LRI, bidi.RLI, bidi.FSI, bidi.PDI: // could end ours
			turns = true
			return -1
		case bidi.R, bidi.AL, bidi.LRE, bidi.RLE, bidi.LRO, bidi.RLO, bidi.PDF:
			turns = true
		}
		return r
	}, text)
	if !turns {
		return text
	}
	return firstStrongIsolate + text + popIsolate
}
