package redact

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
	"golang.org/x/text/collate"
	"golang.org/x/text/language"

	"strokeledger/internal/club"
)

// Aliases is what each player is called where names are not shown: the player's
// alias, else initials, numbered in the order of names where two would be the
// same. Given all players of a club, whoever is shown, it calls a player the same
// in every document.
func Aliases(players []club.Player) map[club.ID]string {
	players = slices.Clone(players)
	names := collate.New(language.Und)
	slices.SortFunc(players, func(a, b club.Player) int {
		return cmp.Or(names.CompareString(a.Name, b.Name), cmp.Compare(a.ID, b.ID))
	})
	all, taken := make(map[club.ID]string, len(players)), make(map[string]bool, len(players))
	for _, p := range players {
		base := strings.TrimSpace(p.Alias)
		if base == "" {
			base = cmp.Or(initials(p.Name), "Player")
		}
		alias := base
		for n := 2; taken[alias]; n++ {
			alias = base + " " + strconv.Itoa(n)
		}
		all[p.ID], taken[alias] = alias, true
	}
	return all
}

// initials is the first letter, as a reader sees letters, of each of the first
// three words; a sign that nobody sees is none.
func initials(name string) string {
	var b strings.Builder
	for i, word := range strings.Fields(name) {
		if i == 3 {
			break
		}
		word = strings.TrimLeftFunc(word, func(r rune) bool { return unicode.In(r, unicode.Cc, unicode.Cf) })
		first, _, _, _ := uniseg.FirstGraphemeClusterInString(word, -1)
		b.WriteString(first)
	}
	return b.String()
}
