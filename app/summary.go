package main

import (
	"fmt"
	"io"
	"os"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/tally"
)

type summaryCmd struct {
	Player string `help:"Only this player: name, alias or id." placeholder:"P"`
	From   string `help:"From this day, year-month-day." placeholder:"D"`
	To     string `help:"To this day, included." placeholder:"D"`
	Format string `help:"text, html, csv or json." enum:"text,html,csv,json" default:"text"`
	Out    string `help:"File to write; without it the summary is printed." type:"path" placeholder:"F"`
	Names  bool   `help:"HTML and CSV: print full names instead of aliases or initials."`
}

// Run prints or writes the fault summary.
func (s *summaryCmd) Run(c *command) error {
	q := desk.Query{Names: s.Names}
	for _, day := range []struct {
		text string
		to   *club.Date
	}{{s.From, &q.From}, {s.To, &q.To}} {
		if day.text == "" {
			continue
		}
		date, err := club.ParseDate(day.text)
		if err != nil {
			return err
		}
		*day.to = date
	}
	if q.From != "" && q.To != "" && q.From > q.To {
		return wrongUse("The period ends before it starts: swap --from and --to.")
	}
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	if s.Player != "" {
		cat, err := d.Catalogue(c.ctx)
		if err != nil {
			return err
		}
		p, err := playerNamed(cat, s.Player)
		if err != nil {
			return err
		}
		q.Players = []club.ID{p.ID}
	}
	write := func(w io.Writer) error { return d.Export(c.ctx, q, desk.Format(s.Format), w) }
	if s.Out == "" {
		return write(c.out)
	}
	if err := desk.WriteFile(s.Out, func(f *os.File) error { return write(f) }); err != nil {
		return err
	}
	fmt.Fprintln(c.out, s.Out)
	return nil
}

// playerNamed finds the one player with that id, name or alias, or the initials
// that documents show; those who have left count only where nobody else is meant.
func playerNamed(cat club.Catalogue, name string) (club.Player, error) {
	var active, retired []club.Player
	for _, p := range cat.Players {
		switch is := club.Fold(name); {
		case string(p.ID) == name:
			return p, nil
		case is == "" || is != club.Fold(p.Name) && is != club.Fold(p.Alias):
		case p.Retired:
			retired = append(retired, p)
		default:
			active = append(active, p)
		}
	}
	found := active
	if len(found) == 0 {
		found = retired
	}
	if len(found) == 0 { // as documents call them that show no names
		for id, alias := range tally.Aliases(cat.Players) {
			if club.Fold(alias) == club.Fold(name) {
				found = append(found, cat.Players[slices.IndexFunc(cat.Players, func(p club.Player) bool { return p.ID == id })])
			}
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return club.Player{}, &club.Problem{Say: fmt.Sprintf("There are %d players with the name or alias %q: give --player the id of one, which --format json shows as player_id.", len(found), name)}
	case len(cat.Players) == 0:
		return club.Player{}, &club.Problem{Say: "There is no player in this library yet: add one first."}
	}
	return club.Player{}, &club.Problem{Say: fmt.Sprintf("There is no player called %q in this library: look at the club screen for the name or alias.", name)}
}
