package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode"

	"golang.org/x/term"
)

// bar draws progress on one line of a terminal, and only for work that takes
// longer than a second; elsewhere it is silent.
type bar struct {
	w       io.Writer
	started time.Time
	drawn   time.Time
	on      bool
}

func newBar(w io.Writer) *bar {
	f, ok := w.(*os.File)
	return &bar{w: w, started: time.Now(), on: ok && term.IsTerminal(int(f.Fd()))}
}

// show says that done of total is done, and of what.
func (b *bar) show(done, total int, label string) {
	now := time.Now()
	if !b.on || total <= 0 || now.Sub(b.started) < time.Second || now.Sub(b.drawn) < 100*time.Millisecond {
		return
	}
	b.drawn = now
	const width = 30
	full := min(done*width/total, width)
	fmt.Fprintf(b.w, "\r[%s%s] %3d %%  %-30.30s", strings.Repeat("=", full), strings.Repeat(" ", width-full), min(done*100/total, 100), onLine(label))
}

// end leaves the line empty again.
func (b *bar) end() {
	if !b.drawn.IsZero() {
		fmt.Fprintf(b.w, "\r%s\r", strings.Repeat(" ", 72))
		b.drawn = time.Time{}
	}
}

// onLine makes a file's name safe for one line of a terminal: it may hold
// whatever its writer liked. Isolates stay, which club.Isolated puts round names.
func onLine(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) || r == '\u2068' || r == '\u2069' {
			return r
		}
		return unicode.ReplacementChar
	}, name)
}
