package tally

import (
	"cmp"
	"slices"

	"golang.org/x/text/collate"
	"golang.org/x/text/language"

	"strokeledger/internal/club"
	"strokeledger/internal/redact"
)

// Aliased returns the summary with each player's alias in place of the name, in
// order of alias, for documents that leave the team, and without the reasons of
// rulings, in which a coach may name anybody. The summary itself is not
// changed; the two share their groups.
func (s Summary) Aliased() Summary {
	s.Players = slices.Clone(s.Players)
	for i := range s.Players {
		s.Players[i].Name = s.Players[i].Alias
		s.Players[i].Ladder = s.Players[i].Ladder.WithoutReasons()
	}
	sortByName(s.Players)
	return s
}

// sortByName puts sheets in the order in which people look names up, whatever
// the script, so that É stands next to E.
func sortByName(sheets []Sheet) {
	names := collate.New(language.Und)
	slices.SortFunc(sheets, func(a, b Sheet) int {
		return cmp.Or(names.CompareString(a.Name, b.Name), cmp.Compare(a.PlayerID, b.PlayerID))
	})
}

// aliases are those of the club's players, and of those who were counted and are
// in no list.
func (k *Counter) aliases() map[club.ID]string {
	players := slices.Clone(k.listed)
	for _, b := range k.books {
		if _, ok := k.players[b.player]; !ok {
			players = append(players, club.Player{ID: b.player, Name: k.name(b.player), Alias: "Player"})
		}
	}
	return redact.Aliases(players)
}
