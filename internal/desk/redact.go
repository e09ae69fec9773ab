package desk

import (
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// shownNames is how documents call each player.
func shownNames(cat club.Catalogue, names bool) map[club.ID]string {
	if !names {
		return tally.Aliases(cat.Players)
	}
	all := make(map[club.ID]string, len(cat.Players))
	for _, p := range cat.Players {
		all[p.ID] = p.Name
	}
	return all
}

// shownCoaches is how documents call each coach.
func shownCoaches(cat club.Catalogue, names bool) map[club.ID]string {
	all := make(map[club.ID]string, len(cat.Coaches))
	if names {
		for _, c := range cat.Coaches {
			all[c.ID] = c.Name
		}
		return all
	}
	people := make([]club.Player, len(cat.Coaches))
	for i, c := range cat.Coaches {
		people[i] = club.Player{ID: c.ID, Name: c.Name}
	}
	return tally.Aliases(people)
}

// clipNumber is how documents call the i-th clip of the library, since file names
// may hold those of people.
func clipNumber(i int) string { return fmt.Sprintf("clip %d", i+1) }
