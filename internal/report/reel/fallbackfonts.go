package reel

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// fallbackFonts finds fonts of the computer for what the program's own lack. It looks
// into the folders only when something is asked for.
type fallbackFonts struct {
	folders []string
	files   []string // not opened yet, the plainest first; nil: not looked
	open    []*sfnt.Font
	lacking map[string]bool // what none has
}

// mostFonts is how many font files are opened at most, so that a computer full of
// fonts does not hold up a film.
const mostFonts = 400

// find returns a font that has a cluster, nil where none has.
func (c *fallbackFonts) find(cluster string, has func(*sfnt.Font, string) bool) *sfnt.Font {
	if c.lacking[cluster] {
		return nil
	}
	for _, f := range c.open {
		if has(f, cluster) {
			return f
		}
	}
	if c.files == nil {
		c.scan()
	}
	for len(c.files) > 0 {
		path := c.files[0]
		c.files = c.files[1:]
		for _, f := range fontsIn(path) {
			c.open = append(c.open, f)
			if has(f, cluster) {
				return f
			}
		}
	}
	if c.lacking == nil {
		c.lacking = map[string]bool{}
	}
	c.lacking[cluster] = true
	return nil
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

// fontsIn reads a font file; one that cannot be read or understood holds none.
func fontsIn(path string) (fonts []*sfnt.Font) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	all, err := sfnt.ParseCollection(data)
	if err != nil {
		return nil
	}
	for i := range all.NumFonts() {
		if f, err := all.Font(i); err == nil {
			fonts = append(fonts, f)
		}
	}
	return fonts
}
