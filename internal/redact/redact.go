// Package redact says how documents call people and clips where names are not to stand,
// and takes names out of rows.
package redact

import (
	"fmt"
	"slices"

	"strokeledger/internal/club"
)

// Players is how documents call each player.
func Players(cat club.Catalogue, names bool) map[club.ID]string {
	if !names {
		return Aliases(cat.Players)
	}
	all := make(map[club.ID]string, len(cat.Players))
	for _, p := range cat.Players {
		all[p.ID] = p.Name
	}
	return all
}

// Coaches is how documents call each coach.
func Coaches(cat club.Catalogue, names bool) map[club.ID]string {
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
	return Aliases(people)
}

// Clip is how documents call the i-th clip of the library, since file names
// may hold those of people.
func Clip(i int) string { return fmt.Sprintf("clip %d", i+1) }

// Rows takes everything out of rows that says who people are; called is what
// stands there instead. The lists of the catalogue are copied, the others are written
// to.
func Rows(c *club.Catalogue, clips []club.Clip, sessions []club.Session, marks []club.Mark, rulings []club.Ruling, called map[club.ID]string) {
	c.Players, c.Coaches, c.Drills = slices.Clone(c.Players), slices.Clone(c.Coaches), slices.Clone(c.Drills)
	for i, p := range c.Players {
		c.Players[i] = club.Player{ID: p.ID, Name: called[p.ID], Alias: called[p.ID], Hand: p.Hand, Retired: p.Retired}
	}
	for i, o := range c.Coaches {
		c.Coaches[i].Name = called[o.ID]
	}
	for i := range c.Drills {
		c.Drills[i].Note = ""
	}
	for i, f := range clips {
		clips[i].Name, clips[i].Path = called[f.ID], ""
	}
	for i := range sessions {
		sessions[i].Note = ""
	}
	for i := range marks {
		marks[i].Note = ""
	}
	for i := range rulings {
		rulings[i].Reason = "not told"
	}
}
