package reel

import (
	"bytes"
	"image/color"
	"math"
	"slices"
	"sort"
	"strings"
	"unicode"

	"github.com/go-text/typesetting/bidi"
	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/segmenter"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/math/fixed"
)

// Letters draws text. The program's own letters are Latin, Greek and Cyrillic;
// what they lack is taken from the fonts of the computer, and what those lack too
// becomes a hollow box. Letters are joined, ordered and set right to left as their
// script wants it. One goroutine uses it at a time.
type Letters struct {
	regular, bold *font.Face
	fallback      *fallbackFonts
	shaper        shaping.HarfbuzzShaper
	parts         shaping.Segmenter
	breaks        segmenter.Segmenter
	order         bidi.Paragraph
}

// NewLetters makes letters that fall back on the fonts in these folders.
func NewLetters(folders ...string) *Letters {
	return &Letters{regular: builtIn(goregular.TTF), bold: builtIn(gobold.TTF), fallback: &fallbackFonts{folders: folders}}
}

func builtIn(ttf []byte) *font.Face {
	f, err := font.ParseTTF(bytes.NewReader(ttf))
	if err != nil {
		panic("reel: built-in font: " + err.Error())
	}
	return f
}

// ink is how text is written.
type ink struct {
	bold   bool
	size   int // pixels
	colour color.Color
}

// hollow stands for what no font has.
const hollow = '\u25a1'

// line is one line of text, laid out.
type line struct {
	runs  []shaping.Output // as they stand from left to right
	width int              // pixels
	ink   ink
}

// wrap lays text out in at most that many lines of a width; the last ends with an
// ellipsis where not all fits. A word longer than a line is broken where it must be.
// (The library's own wrapper lets lines of two directions or fonts grow too long.)
func (l *Letters) wrap(text string, k ink, width, most int) (lines []line) {
	all := l.written(plain(text), k)
	words, clusters := l.ends(all.runes)
	for from := 0; from < len(all.runes) && len(lines) < most; {
		fits := func(ends []int, end string) (to int, ok bool) {
			first := sort.SearchInts(ends, from+1)
			n := sort.Search(len(ends)-first, func(i int) bool {
				return l.lay(all.part(from, ends[first+i], end)).width > width
			})
			if n == 0 {
				return ends[first], false
			}
			return ends[first+n-1], true
		}
		to, ok := fits(words, "")
		if !ok {
			to, _ = fits(clusters, "")
		}
		end := ""
		if len(lines) == most-1 && to < len(all.runes) {
			end = "…"
			if to, ok = fits(clusters, end); !ok {
				to = from
			}
		}
		lines = append(lines, l.lay(all.part(from, to, end)))
		from = to
	}
	return lines
}

// written is text with the font of each rune.
type written struct {
	runes []rune
	faces []*font.Face
	own   *font.Face
	way   di.Direction // of the whole
	ink   ink
}

// part is from one rune up to another without spaces at the end, and more in the
// program's own letters behind it.
func (w written) part(from, to int, more string) written {
	for to > from && w.runes[to-1] == ' ' {
		to--
	}
	w.runes, w.faces = slices.Clone(w.runes[from:to]), slices.Clone(w.faces[from:to])
	for _, r := range more {
		w.runes, w.faces = append(w.runes, r), append(w.faces, w.own)
	}
	return w
}

// written puts hollow boxes in place of what no font has. What a reader sees as one
// character is of one font.
func (l *Letters) written(text string, k ink) written {
	w := written{own: l.regular, ink: k, way: di.DirectionLTR}
	if k.bold {
		w.own = l.bold
	}
	l.breaks.Init([]rune(text))
	for all := l.breaks.GraphemeIterator(); all.Next(); {
		cluster, face := all.Grapheme().Text, w.own
		if !has(face.NominalGlyph, cluster) {
			if face = l.fallback.find(cluster); face == nil {
				cluster, face = []rune{hollow}, w.own
			}
		}
		w.runes = append(w.runes, cluster...)
		w.faces = append(w.faces, slices.Repeat([]*font.Face{face}, len(cluster))...)
	}
	// The first letter tells from which side the whole is read: then the lowest level
	// is 1 and not 0.
	if _, lowest := l.levels(w.runes, bidi.Neutral); lowest == 1 {
		w.way = di.DirectionRTL
	}
	return w
}

// ends are where a line may end, and where a character does.
func (l *Letters) ends(runes []rune) (words, clusters []int) {
	l.breaks.Init(runes)
	for all := l.breaks.LineIterator(); all.Next(); {
		words = append(words, all.Line().Offset+len(all.Line().Text))
	}
	for all := l.breaks.GraphemeIterator(); all.Next(); {
		clusters = append(clusters, all.Grapheme().Offset+len(all.Grapheme().Text))
	}
	return words, clusters
}

// has reports whether a font, by its table of characters, has every rune of a
// cluster that is seen.
func has(glyph func(rune) (font.GID, bool), cluster []rune) bool {
	for _, r := range cluster {
		if unseen(r) {
			continue
		}
		if _, ok := glyph(r); !ok {
			return false
		}
	}
	return true
}

// unseen runes shape others and have no picture of their own.
func unseen(r rune) bool {
	return unicode.Is(unicode.Variation_Selector, r) || unicode.Is(unicode.Cf, r) || unicode.IsControl(r)
}

// only is one font for all runes.
type only struct{ face *font.Face }

func (o only) ResolveFace(rune) *font.Face { return o.face }

// lay makes a line.
func (l *Letters) lay(w written) line {
	base := bidi.LeftToRight
	if w.way == di.DirectionRTL {
		base = bidi.RightToLeft
	}
	levels, _ := l.levels(w.runes, base)
	done := line{ink: w.ink}
	var at []bidi.Level // of the runs
	var width fixed.Int26_6
	text := shaping.Input{Text: w.runes, RunEnd: len(w.runes), Direction: w.way, Size: fixed.I(w.ink.size)}
	for _, part := range l.parts.Split(text, only{w.own}) { // by direction and script
		for from, end := part.RunStart, part.RunEnd; from < end; from = part.RunEnd {
			part.RunStart, part.RunEnd, part.Face = from, from+1, w.faces[from]
			for part.RunEnd < end && w.faces[part.RunEnd] == part.Face {
				part.RunEnd++
			}
			run := l.shaper.Shape(part)
			width += run.Advance
			done.runs, at = append(done.runs, run), append(at, levels[from])
		}
	}
	done.width = width.Ceil()
	visual(done.runs, at)
	return done
}

// levels are the embedding levels of runes (UAX 9), and the lowest of them: odd ones
// are read from the right.
func (l *Letters) levels(runes []rune, base bidi.Direction) (levels []bidi.Level, lowest bidi.Level) {
	order := l.order.Segment(runes, base)
	for i := range order.NumRuns() {
		run := order.Run(i)
		levels = append(levels, slices.Repeat([]bidi.Level{run.Level}, run.End-run.Start)...)
	}
	return levels, slices.Min(append(levels, math.MaxInt8))
}

// visual puts the runs of a line in the order in which they stand (UAX 9, rule L2):
// from the highest level down, what is at least that high turns round.
func visual(runs []shaping.Output, levels []bidi.Level) {
	for high := slices.Max(append(levels, 0)); high > 0; high-- {
		for from := 0; from < len(runs); from++ {
			to := from
			for to < len(runs) && levels[to] >= high {
				to++
			}
			slices.Reverse(runs[from:to])
			slices.Reverse(levels[from:to])
			from = max(from, to)
		}
	}
}

// plain makes text one line without control characters.
func plain(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), '\u202a' <= r && r <= '\u202e', '\u2066' <= r && r <= '\u2069':
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, string(hollow))))
}
