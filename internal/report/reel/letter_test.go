package reel

import (
	"image"
	"image/color"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// seen are the glyphs of a line from left to right: by name those of the font of
// boxes, by character those of the program's own.
func (l *Letters) seen(t *testing.T, text string) string {
	lines := l.wrap(text, ink{size: 20, colour: color.White}, 1000, 1)
	require.Len(t, lines, 1)
	return l.names(lines[0])
}

func (l *Letters) names(one line) string {
	var names []string
	for _, run := range one.runs {
		for _, g := range run.Glyphs {
			name := "?"
			if run.Face != l.regular && run.Face != l.bold {
				name = boxes[g.GlyphID]
			}
			for r := ' '; r <= hollow && name == "?"; r++ {
				if own, ok := l.regular.NominalGlyph(r); ok && own == g.GlyphID {
					name = string(r)
				}
			}
			names = append(names, name)
		}
	}
	return strings.Join(names, " ")
}

func TestScriptsAreJoinedAndOrdered(t *testing.T) {
	l := NewLetters(fontFolder(t))
	for text, want := range map[string]string{
		"AB":            "A B",
		"ب":             "beh",
		"ببب":           "beh.fina beh.medi beh.init",
		"باب":           "beh alef.fina beh.init", // nothing joins an alef from its left
		"ب ب":           "beh   beh",
		"بب\u200cب":     "beh beh.fina beh.init", // a non-joiner is not seen
		"कि":            "i ka",                  // the vowel sign stands before its consonant
		"कक":            "ka ka",
		"A אבג 12 דא C": "A   alef-h dalet   1 2   gimel bet alef-h   C",
		"אב 12 AB ג":    "gimel   A B   1 2   bet alef-h",
		"(אב) 1":        "1   ( bet alef-h )",
		"١٢ A אב":       "□ □   A   bet alef-h", // digits of a higher level come first
		"乒A":            "□ A",
	} {
		require.Equal(t, want, l.seen(t, text), "%q", text)
	}
}

func TestEllipsisEndsWhereTheTextDoes(t *testing.T) {
	l := NewLetters(fontFolder(t))
	for text, want := range map[string]string{
		"ABABABAB": "A B A …",
		"אבגדאבגד": "… gimel bet alef-h", // to the left
	} {
		lines := l.wrap(text, ink{size: 20, colour: color.White}, 65, 1)
		require.Len(t, lines, 1)
		require.LessOrEqual(t, lines[0].width, 65)
		require.Equal(t, want, l.names(lines[0]))
	}
}

func TestTextStaysInItsLines(t *testing.T) {
	l := NewLetters(fontFolder(t))
	random := rand.New(rand.NewPCG(13, 6))
	pieces := []string{"a", "Wi", "x\u0302", " ", "  ", "\t", "-", "…", "ب", "ا", "कि", "א", "12", "\u200d", "\u202e", "乒", "👨‍👩‍👧", "\xff", "\n", "\u00ad", "(", ")"}
	for range 2000 {
		var text strings.Builder
		for range random.IntN(40) {
			text.WriteString(pieces[random.IntN(len(pieces))])
		}
		width, most := 40+random.IntN(200), 1+random.IntN(3)
		lines := l.wrap(text.String(), ink{bold: random.IntN(2) == 0, size: 20}, width, most)
		require.LessOrEqual(t, len(lines), most)
		require.Equal(t, plain(text.String()) == "", len(lines) == 0, "%q", text.String())
		for _, one := range lines {
			require.LessOrEqual(t, one.width, width, "%q", text.String())
		}
	}
}

// A line is drawn from its place to its width, and nowhere else.
func TestLineIsDrawnWhereItStands(t *testing.T) {
	l := NewLetters(fontFolder(t))
	for _, text := range []string{"AB", "ببب"} {
		img := whole(200, 60)
		lines := l.wrap(text, ink{size: 20, colour: color.White}, 200, 1)
		require.Len(t, lines, 1)
		lines[0].draw(img, 50, 40)
		used := crop(img).Rect
		require.True(t, used.In(image.Rect(50, 20, 50+lines[0].width, 41)), "%v", used)
		require.Greater(t, used.Dx(), lines[0].width*3/4)
	}
}
