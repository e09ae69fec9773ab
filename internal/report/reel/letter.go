package reel

import (
	"image"
	"image/color"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/bidi"
)

// Letters draws text. The program's own letters are Latin, Greek and Cyrillic;
// what they lack is taken from the fonts of the computer, and what those lack too
// becomes a hollow box. Words are not joined as Arabic or Devanagari want it.
// One goroutine uses it at a time.
type Letters struct {
	regular, bold *sfnt.Font
	fallback      *fallbackFonts
	faces         map[sized]font.Face
	buffer        sfnt.Buffer
}

type sized struct {
	font *sfnt.Font
	size int // pixels
}

// NewLetters makes letters that fall back on the fonts in these folders.
func NewLetters(folders ...string) *Letters {
	return &Letters{
		regular: must(sfnt.Parse(goregular.TTF)), bold: must(sfnt.Parse(gobold.TTF)),
		fallback: &fallbackFonts{folders: folders}, faces: map[sized]font.Face{},
	}
}

// must is for what is built in.
func must(f *sfnt.Font, err error) *sfnt.Font {
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

func (l *Letters) own(bold bool) *sfnt.Font {
	if bold {
		return l.bold
	}
	return l.regular
}

// hollow stands for what no font has.
const hollow = "\u25a1"

// glyphs is one character as a reader sees it, in the font that has it.
type glyphs struct {
	text string
	font *sfnt.Font
}

func (l *Letters) glyphs(cluster string, bold bool) glyphs {
	own := l.own(bold)
	if l.has(own, cluster) {
		return glyphs{cluster, own}
	}
	if f := l.fallback.find(cluster, l.has); f != nil {
		return glyphs{cluster, f}
	}
	return glyphs{hollow, own}
}

// has reports whether a font has every rune of a cluster that is seen.
func (l *Letters) has(f *sfnt.Font, cluster string) bool {
	for _, r := range cluster {
		if unseen(r) {
			continue
		}
		if i, err := f.GlyphIndex(&l.buffer, r); err != nil || i == 0 {
			return false
		}
	}
	return true
}

// unseen runes shape others and have no picture of their own.
func unseen(r rune) bool {
	return r == '\u200d' || unicode.Is(unicode.Variation_Selector, r) || unicode.Is(unicode.Cf, r) || unicode.IsControl(r)
}

func (l *Letters) face(f *sfnt.Font, size int) font.Face {
	key := sized{f, size}
	if l.faces[key] == nil {
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: float64(size), DPI: 72})
		if err != nil {
			panic("reel: font: " + err.Error()) // it only refuses options
		}
		l.faces[key] = face
	}
	return l.faces[key]
}

// each goes through the characters of a text and their widths.
func (l *Letters) each(text string, k ink, do func(g glyphs, width fixed.Int26_6)) {
	for state := -1; text != ""; {
		var cluster string
		cluster, text, _, state = uniseg.FirstGraphemeClusterInString(text, state)
		g := l.glyphs(cluster, k.bold)
		face := l.face(g.font, k.size)
		var width fixed.Int26_6
		for _, r := range g.text {
			if unseen(r) {
				continue
			}
			if a, ok := face.GlyphAdvance(r); ok && !unicode.Is(unicode.Mn, r) {
				width += a
			}
		}
		do(g, width)
	}
}

func (l *Letters) width(text string, k ink) int {
	var sum fixed.Int26_6
	l.each(text, k, func(_ glyphs, w fixed.Int26_6) { sum += w })
	return sum.Ceil()
}

// write draws one line with its base line at y.
func (l *Letters) write(img *image.RGBA, text string, k ink, x, y int) {
	at := fixed.P(x, y)
	l.each(visual(text), k, func(g glyphs, w fixed.Int26_6) {
		d := font.Drawer{Dst: img, Src: image.NewUniform(k.colour), Face: l.face(g.font, k.size), Dot: at}
		for _, r := range g.text {
			if unseen(r) {
				continue
			}
			if unicode.Is(unicode.Mn, r) && d.Dot != at { // over the letter before it
				a, _ := d.Face.GlyphAdvance(r)
				d.Dot.X -= a
			}
			d.DrawString(string(r))
		}
		at.X += w
	})
}

// visual puts what is written from right to left in the order of the eye.
func visual(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool {
		p, _ := bidi.LookupRune(r)
		return p.Class() == bidi.R || p.Class() == bidi.AL
	}) {
		return text
	}
	var p bidi.Paragraph
	if _, err := p.SetString(text); err != nil {
		return text
	}
	order, err := p.Order()
	if err != nil {
		return text
	}
	var b strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			b.WriteString(uniseg.ReverseString(run.String()))
		} else {
			b.WriteString(run.String())
		}
	}
	return b.String()
}

// wrap breaks text into at most that many lines of a width; the last ends with an
// ellipsis where it does not fit. A word longer than a line is broken where it must
// be.
func (l *Letters) wrap(text string, k ink, width, most int) []string {
	var lines []string
	line := ""
	rest := plain(text)
	for state := -1; rest != ""; {
		var part string
		part, rest, _, state = uniseg.FirstLineSegmentInString(rest, state)
		for part != "" {
			if l.width(strings.TrimRight(line+part, " "), k) <= width {
				line, part = line+part, ""
				continue
			}
			if line == "" { // one word alone is too long
				var head string
				head, part = l.fit(part, k, width)
				line = head
			}
			lines, line = append(lines, strings.TrimRight(line, " ")), ""
			if len(lines) == most {
				if part != "" || rest != "" {
					lines[most-1] = l.ellipsis(lines[most-1], k, width)
				}
				return lines
			}
		}
	}
	if line = strings.TrimRight(line, " "); line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fit takes as many characters as go into a width, at least one.
func (l *Letters) fit(text string, k ink, width int) (head, rest string) {
	for state := -1; text != ""; {
		var cluster, after string
		cluster, after, _, state = uniseg.FirstGraphemeClusterInString(text, state)
		if head != "" && l.width(head+cluster, k) > width {
			break
		}
		head, text = head+cluster, after
	}
	return head, text
}

func (l *Letters) ellipsis(text string, k ink, width int) string {
	for text != "" && l.width(text+"…", k) > width {
		clusters := uniseg.NewGraphemes(text)
		last := 0
		for clusters.Next() {
			last, _ = clusters.Positions()
		}
		text = text[:last]
	}
	return strings.TrimRight(text, " ") + "…"
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
	}, strings.ToValidUTF8(s, hollow)))
}
