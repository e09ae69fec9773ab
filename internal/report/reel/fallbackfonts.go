package reel

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/font/opentype/tables"
)

// fallbackFonts finds fonts of the computer for what the program's own lack. It looks
// into the folders only when something is asked for.
type fallbackFonts struct {
	folders []string
	files   []string // not opened yet, the plainest first; nil: not looked
	open    []*spare
	lacking map[string]bool // what none has
}

// spare is a font of which only the table of characters is read until it is used.
type spare struct {
	characters font.Cmap
	loader     *opentype.Loader
	face       *font.Face
}

// mostFonts is how many font files are opened at most, so that a computer full of
// fonts does not hold up a film.
const mostFonts = 400

// find returns a font that has a cluster, nil where none has.
func (c *fallbackFonts) find(cluster []rune) *font.Face {
	if c.lacking[string(cluster)] {
		return nil
	}
	for _, s := range c.open {
		if f := s.with(cluster); f != nil {
			return f
		}
	}
	if c.files == nil {
		c.scan()
	}
	for len(c.files) > 0 {
		path := c.files[0]
		c.files = c.files[1:]
		fonts := fontsIn(path)
		c.open = append(c.open, fonts...)
		for _, s := range fonts {
			if f := s.with(cluster); f != nil {
				return f
			}
		}
	}
	if c.lacking == nil {
		c.lacking = map[string]bool{}
	}
	c.lacking[string(cluster)] = true
	return nil
}

// with is the font where it has a cluster and can be read, else nil.
func (s *spare) with(cluster []rune) *font.Face {
	if s.characters == nil || !has(s.characters.Lookup, cluster) {
		return nil
	}
	if s.face == nil {
		f, err := font.NewFont(s.loader)
		if err != nil {
			s.characters = nil
			return nil
		}
		s.face = font.NewFace(f)
	}
	return s.face
}

func (c *fallbackFonts) scan() {
	c.files = []string{}
	for _, dir := range c.folders {
		_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				//lint:ignore nilerr a folder that cannot be read is passed over
				return nil
			}
			switch strings.ToLower(filepath.Ext(path)) {
			case ".ttf", ".otf", ".ttc", ".otc":
				c.files = append(c.files, path)
			}
			return nil
		})
	}
	slices.SortStableFunc(c.files, func(a, b string) int { return ornate(a) - ornate(b) })
	c.files = c.files[:min(len(c.files), mostFonts)]
}

// ornate is low for upright sans-serif letters of usual weight.
func ornate(path string) (n int) {
	name := strings.ToLower(filepath.Base(path))
	for _, word := range []string{"bold", "italic", "oblique", "light", "black", "thin", "mono", "serif", "condensed", "medium", "math", "symbol"} {
		if strings.Contains(name, word) {
			n++
		}
	}
	return n
}

// fontsIn reads a font file; one that cannot be read or understood holds none, nor
// does one whose letters are pictures and not outlines.
func fontsIn(path string) (fonts []*spare) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	loaders, err := opentype.NewLoaders(bytes.NewReader(data))
	if err != nil {
		return nil
	}
	for _, l := range loaders {
		if !slices.ContainsFunc([]string{"glyf", "CFF ", "CFF2"}, func(tag string) bool { return l.HasTable(opentype.MustNewTag(tag)) }) {
			continue
		}
		raw, err := l.RawTable(opentype.MustNewTag("cmap"))
		if err != nil {
			continue
		}
		table, _, err := tables.ParseCmap(raw)
		if err != nil {
			continue
		}
		if characters, _, err := font.ProcessCmap(table, tables.FPNone); err == nil {
			fonts = append(fonts, &spare{characters: characters, loader: l})
		}
	}
	return fonts
}
