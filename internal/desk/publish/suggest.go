package publish

import (
	"context"
	"path/filepath"
	"strings"
	"unicode"

	"strokeledger/internal/club"
	"strokeledger/internal/redact"
)

// longestName is how many letters of a name a suggested file name takes.
const longestName = 40

// FileName suggests a name for a document that is to be written: what it is, and
// the player where it is about one alone, called as in the document, so that one
// player's page is not written over another's. The ending comes without its dot.
func (d *Documents) FileName(ctx context.Context, what string, players []club.ID, names bool, ending string) (string, error) {
	if len(players) == 1 {
		cat, err := d.lib.Catalogue(ctx)
		if err != nil {
			return "", err
		}
		if who := fileWord(redact.Players(cat, names)[players[0]]); who != "" {
			what += "-" + who
		}
	}
	return what + "." + ending, nil
}

// TrackName suggests a name for a track of a clip: that of its film, under which
// players of films look for it, and what the track is.
func (d *Documents) TrackName(ctx context.Context, clip club.ID, what string) (string, error) {
	c, err := d.lib.Clip(ctx, clip)
	if err != nil {
		return "", err
	}
	film := filepath.Base(c.Path)
	if c.Path == "" { // a clip without its film, see Forget
		return what + ".vtt", nil
	}
	return strings.TrimSuffix(film, filepath.Ext(film)) + "." + what + ".vtt", nil
}

// fileWord is a text with nothing but letters and digits of any script, and one
// hyphen in place of all that stood between them: safe in a file name anywhere.
func fileWord(s string) string {
	words := strings.FieldsFunc(s, func(r rune) bool {
		return r == unicode.ReplacementChar || !unicode.In(r, unicode.Letter, unicode.Digit, unicode.Mark)
	})
	letters := []rune(strings.Join(words, "-"))
	return strings.Trim(string(letters[:min(len(letters), longestName)]), "-")
}
