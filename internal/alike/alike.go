// Package alike tells which names a reader takes for one. It is pure.
package alike

import (
	"strings"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"
)

// Names tells which names a reader takes for one. It is for one goroutine.
type Names struct {
	order *collate.Collator
	buf   collate.Buffer
}

// New compares by the first level of the Unicode Collation Algorithm (UTS 10, in the
// order that CLDR gives for all languages): accents, case and width say nothing, letters do.
func New() *Names {
	return &Names{order: collate.New(language.Und, collate.Loose)}
}

// Key is the same for names that differ in accents, case, width and spaces alone: "Léa",
// "LEA" and " lea". It is no text to be shown.
func (n *Names) Key(name string) string {
	n.buf.Reset()
	return string(n.order.KeyFromString(&n.buf, strings.Join(strings.Fields(name), " ")))
}
