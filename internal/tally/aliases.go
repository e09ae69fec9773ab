package tally

import "strokeledger/internal/club"

// Aliases is what each player is called where names are not shown: the player's
// alias, else initials, numbered where two would be the same.
func Aliases(players []club.Player) map[club.ID]string {
	sheets := make([]Sheet, len(players))
	for i, p := range players {
		sheets[i] = Sheet{PlayerID: p.ID, Name: p.Name, Alias: p.Alias}
	}
	sortByName(sheets)
	fillAliases(sheets)
	all := make(map[club.ID]string, len(sheets))
	for _, s := range sheets {
		all[s.PlayerID] = s.Alias
	}
	return all
}
