package reel

import (
	"cmp"
	"encoding/binary"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A font of boxes, written down table by table as ISO/IEC 14496-22 has it: enough
// to see which glyphs a text becomes, and in which order.

// The glyphs of the font, in the order of their numbers. Those of a letter's joined
// forms are reached by substitution only.
var (
	boxes = []string{".notdef", "beh", "beh.init", "beh.medi", "beh.fina", "alef", "alef.fina", "ka", "i", "alef-h", "bet", "gimel", "dalet"}
	means = map[rune]string{'ب': "beh", 'ا': "alef", 'क': "ka", '\u093f': "i", 'א': "alef-h", 'ב': "bet", 'ג': "gimel", 'ד': "dalet"}
	forms = []string{"fina", "init", "medi"} // features, by name
)

func numberOf(name string) uint16 { return uint16(slices.Index(boxes, name)) }

// be is numbers of two bytes, and of four, one after the other.
func be(numbers ...any) (b []byte) {
	for _, n := range numbers {
		switch n := n.(type) {
		case int:
			b = binary.BigEndian.AppendUint16(b, uint16(n))
		case uint16:
			b = binary.BigEndian.AppendUint16(b, n)
		case uint32:
			b = binary.BigEndian.AppendUint32(b, n)
		case string:
			b = append(b, n...)
		case []byte:
			b = append(b, n...)
		}
	}
	return b
}

// listed is a count and then, for each part, its tag if it has one and where it
// begins, and the parts.
func listed(tags []string, parts ...[]byte) []byte {
	head := be(len(parts))
	at := 2 + 2*len(parts)
	if tags != nil {
		at += 4 * len(parts)
	}
	for i, p := range parts {
		if tags != nil {
			head = append(head, tags[i]...)
		}
		head = append(head, be(at)...)
		at += len(p)
	}
	return append(head, slices.Concat(parts...)...)
}

// substitutions is the table that joins Arabic letters.
func substitutions() []byte {
	joining := be(4, 0, 0, 0xffff, len(forms), 0, 1, 2)
	scripts := listed([]string{"arab", "dev2"}, joining, be(4, 0, 0, 0xffff, 0))
	var features, lookups [][]byte
	for i, form := range forms {
		features = append(features, be(0, 1, i))
		var from, to []byte
		for _, letter := range []string{"beh", "alef"} {
			if slices.Contains(boxes, letter+"."+form) {
				from, to = append(from, be(numberOf(letter))...), append(to, be(numberOf(letter+"."+form))...)
			}
		}
		n := len(from) / 2
		lookups = append(lookups, be(1, 0, 1, 8 /* the one that follows: */, 2, 6+2*n, n, to, 1, n, from))
	}
	f, l := listed(forms, features...), listed(nil, lookups...)
	return be(1, 0, 10, 10+len(scripts), 10+len(scripts)+len(f), scripts, f, l)
}

// fontFolder is a folder with the font in it.
func fontFolder(t *testing.T) string {
	n := len(boxes)
	var places, outlines, widths, groups []byte
	for range boxes {
		places = append(places, be(uint32(len(outlines)))...)
		outlines = append(outlines, be(1, 0, 0, 500, 500, 3, 0, []byte{1, 1, 1, 1}, 0, 0, 500, 0, 0, 500, 0, -500)...)
		widths = append(widths, be(600, 0)...)
	}
	places = append(places, be(uint32(len(outlines)))...)
	for _, r := range slices.Sorted(maps.Keys(means)) {
		groups = append(groups, be(uint32(r), uint32(r), uint32(numberOf(means[r])))...)
	}
	tables := map[string][]byte{
		"head": be(1, 0, 1, 0, uint32(0), uint32(0x5f0f3cf5), 0, 1000, make([]byte, 16), 0, 0, 500, 500, 0, 8, 2, 1, 0),
		"hhea": be(1, 0, 800, -200, 0, 600, make([]byte, 22), n),
		"maxp": be(1, 0, n, make([]byte, 26)),
		"hmtx": widths, "loca": places, "glyf": outlines, "GSUB": substitutions(),
		"cmap": be(0, 1, 3, 10, uint32(12), 12, 0, uint32(16+len(groups)), uint32(0), uint32(len(groups)/12), groups),
	}
	names := slices.SortedFunc(maps.Keys(tables), cmp.Compare[string])
	file, body := be(1, 0, len(names), 0, 0, 0), []byte(nil)
	for _, name := range names {
		file = append(file, be(name, uint32(0), uint32(12+16*len(names)+len(body)), uint32(len(tables[name])))...)
		body = append(body, tables[name]...)
		body = append(body, make([]byte, -len(body)&3)...)
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "boxes.ttf"), append(file, body...), 0o600))
	return dir
}
