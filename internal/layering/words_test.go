package layering

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

// synonyms are words that no identifier may use, each with the word of the glossary
// in DEVELOPERS.md that stands for the thing. A word is a part of a name as people
// read it: heardClip has two.
func synonyms() map[string]string {
	all := map[string]string{}
	for standard, words := range map[string]string{
		"cache":           "shelf shelves shelved pearl pearls keeper",
		"prefetch":        "tide",
		"fallback fonts":  "cupboard easel",
		"redact":          "veil veiled",
		"preview":         "farewell farewells",
		"status":          "shelter",
		"player data":     "trace traces",
		"file header":     "imprint imprints",
		"turn text":       "strung unstring unstringer",
		"film picture":    "cel cels",
		"stroke row":      "bead beads",
		"deadline":        "patience patient patiently",
		"goals, settings": "wish wishes wished",
		"suggestion":      "offer offers offered",
		"pending":         "ghost ghosts",
		"detect":          "hearer hearing hush hushed",
		"raw, empty":      "bare",
		"fill":            "furnish furnished",
		"accumulator":     "pile piles",
	} {
		for _, w := range strings.Fields(words) {
			all[w] = standard
		}
	}
	return all
}

// released are names that a file or a database of earlier versions holds, so they
// stay: tables, columns and JSON. A Go field has another name beside its JSON.
func released(name, word string) bool {
	switch name {
	case "frontend/src/api/types.ts", "frontend/src/summary/TurnStrokes.svelte", "frontend/src/summary/numbers.test.ts", "frontend/src/summary/BalanceBar.svelte":
		return word == "beads" || word == "wish" // of `summary --format json`
	case "build/e2e/pass.mjs", "build/e2e/strokes.mjs":
		return word == "bare" // of truth.json
	}
	return false
}

// The glossary of DEVELOPERS.md gives every thing one word. No name in Go, in the page
// or in C uses another one for it.
func TestOneWordForOneThing(t *testing.T) {
	forbidden := synonyms()
	seen := map[string]int{}
	source(t, func(name string, content []byte) {
		ext := filepath.Ext(name)
		if name == "internal/layering/words_test.go" {
			return
		}
		for _, id := range identifiers(t, name, content) {
			seen[ext]++
			for _, word := range wordsOf(id) {
				if standard, ok := forbidden[word]; ok && !released(name, word) {
					t.Errorf("%s: %s says %q: the word for it is %q (glossary in DEVELOPERS.md)", name, id, word, standard)
				}
			}
		}
	})
	for _, ext := range []string{".go", ".ts", ".svelte", ".mjs", ".c"} {
		require.Greater(t, seen[ext], 1000, ext)
	}
}

// The glossary explains the words that it is there for.
func TestGlossaryHasTheWords(t *testing.T) {
	var glossary string
	source(t, func(name string, content []byte) {
		if name == "DEVELOPERS.md" {
			_, glossary, _ = strings.Cut(string(content), "\n## Words\n")
			glossary, _, _ = strings.Cut(glossary, "\n## ")
		}
	})
	require.NotEmpty(t, glossary)
	for _, w := range strings.Split("stroke, mark, fault, turn, drill, rung, ladder, cue, rally, pass, look, focus, burst, ready moment, "+
		"cache, prefetch, decode-ahead, peaks, redact, erase, backup, checkpoint, generation, rotation, deadline, fallback fonts, tracker, "+
		"settled, sound, heard, listening", ", ") {
		require.Contains(t, glossary, "**"+w+"**")
	}
}

// identifiers are the names in a source file: of Go by its parser, of the page's
// languages and C what looks like one outside comments and texts.
func identifiers(t *testing.T, name string, content []byte) (ids []string) {
	t.Helper()
	switch filepath.Ext(name) {
	case ".go":
		f, err := parser.ParseFile(token.NewFileSet(), name, content, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok {
				ids = append(ids, id.Name)
			}
			return true
		})
	case ".ts", ".svelte", ".mjs", ".c", ".h":
		code := regexp.MustCompile(`(?s)/\*.*?\*/|<!--.*?-->|(^|\s)//[^\n]*|"(\\.|[^"\\\n])*"|'(\\.|[^'\\\n])*'`).ReplaceAll(content, []byte(" "))
		for _, id := range regexp.MustCompile(`[A-Za-z_][A-Za-z0-9_]*`).FindAll(code, -1) {
			ids = append(ids, string(id))
		}
	}
	return ids
}

// wordsOf parts a name where people read a new word, in lower case: heardClip,
// heard_clip, JPEGCache.
func wordsOf(id string) (words []string) {
	var word []rune
	flush := func() {
		if len(word) > 0 {
			words = append(words, strings.ToLower(string(word)))
		}
		word = nil
	}
	runes := []rune(id)
	for i, r := range runes {
		if !unicode.IsLetter(r) {
			flush()
			continue
		}
		lowerNext := i+1 < len(runes) && unicode.IsLower(runes[i+1])
		if unicode.IsUpper(r) && i > 0 && (!unicode.IsUpper(runes[i-1]) || lowerNext) {
			flush()
		}
		word = append(word, r)
	}
	flush()
	return words
}

func TestWordsOf(t *testing.T) {
	for id, want := range map[string][]string{
		"heardClip": {"heard", "clip"}, "JPEGCache": {"jpeg", "cache"}, "sl_mixer_new": {"sl", "mixer", "new"}, "x2": {"x"}, "TestBareRow": {"test", "bare", "row"},
	} {
		require.True(t, slices.Equal(want, wordsOf(id)), "%s: %v", id, wordsOf(id))
	}
}
