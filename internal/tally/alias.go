package tally

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/rivo/uniseg"
	"golang.org/x/text/collate"
	"golang.org/x/text/language"
)

// Aliased returns the summary with each player's alias in place of the name, in
// order of alias, for documents that leave the team, and without the reasons of
// rulings, in which a coach may name anybody. The summary itself is not
// changed; the two share their groups.
func (s Summary) Aliased() Summary {
	s.Players = slices.Clone(s.Players)
	for i := range s.Players {
		s.Players[i].Name = s.Players[i].Alias
		s.Players[i].Ladder = s.Players[i].Ladder.withoutReasons()
	}
	sortByName(s.Players)
	return s
}

// withoutReasons is a ladder that does not tell why a coach ruled.
func (l *Ladder) withoutReasons() *Ladder {
	if l == nil {
		return nil
	}
	n := *l
	n.Rungs = slices.Clone(l.Rungs)
	for i := range n.Rungs {
		n.Rungs[i].Reason = ""
	}
	return &n
}

// sortByName puts sheets in the order in which people look names up, whatever
// the script, so that É stands next to E.
func sortByName(sheets []Sheet) {
	names := collate.New(language.Und)
	slices.SortFunc(sheets, func(a, b Sheet) int {
		return cmp.Or(names.CompareString(a.Name, b.Name), cmp.Compare(a.PlayerID, b.PlayerID))
	})
}

// fillAliases gives initials to players without an alias, and numbers aliases
// that would be the same, in the order of sheets.
func fillAliases(sheets []Sheet) {
	taken := make(map[string]bool, len(sheets))
	for i := range sheets {
		s := &sheets[i]
		base := strings.TrimSpace(s.Alias)
		if base == "" {
			base = initials(s.Name)
		}
		s.Alias = base
		for n := 2; taken[s.Alias]; n++ {
			s.Alias = base + " " + strconv.Itoa(n)
		}
		taken[s.Alias] = true
	}
}

// initials is the first letter, as a reader sees letters, of each of the first
// three words.
func initials(name string) string {
	var b strings.Builder
	for i, word := range strings.Fields(name) {
		if i == 3 {
			break
		}
		first, _, _, _ := uniseg.FirstGraphemeClusterInString(word, -1)
		b.WriteString(first)
	}
	return b.String()
}
