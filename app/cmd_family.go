package main

import (
	"fmt"

	"strokeledger/internal/desk/publish"
)

type familyCmd struct {
	Player      string `help:"Only this player: name, alias or id; without it everybody who is not retired." placeholder:"P"`
	From        string `help:"From this day, year-month-day." placeholder:"D"`
	To          string `help:"To this day, included." placeholder:"D"`
	Names       bool   `help:"Show the player's full name instead of alias or initials."`
	Notes       bool   `help:"Show the coach's notes on what to work on; they may name others."`
	Unconsented bool   `help:"Show pictures of players too of whom no consent to film is on record."`
	Out         string `required:"" help:"Folder for the pages, one a player." type:"path" placeholder:"DIR"`
}

// Run writes a page for each player's family.
func (f *familyCmd) Run(c *command) error {
	q := publish.FamilyQuery{Names: f.Names, Notes: f.Notes, Unconsented: f.Unconsented}
	var err error
	if q.From, q.To, err = period(f.From, f.To); err != nil {
		return err
	}
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	if q.Players, err = playersNamed(cat, f.Player); err != nil {
		return err
	}
	progress := newBar(c.say)
	done, err := d.Documents.Families(c.ctx, q, f.Out, func(done, total int) { progress.show(done, total, "pages") })
	progress.end()
	if err != nil {
		return err
	}
	if done.Say != "" {
		fmt.Fprintln(c.say, done.Say)
	}
	fmt.Fprintln(c.out, done.Folder)
	return nil
}
