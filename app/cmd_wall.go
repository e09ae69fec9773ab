package main

import (
	"fmt"

	"strokeledger/internal/desk/wall"
	"strokeledger/internal/tally/wording"
)

type wallCmd struct {
	Out         string `required:"" help:"File for the page." type:"path" placeholder:"F"`
	Faces       bool   `help:"Show the players' faces; without it they are made unrecognisable."`
	Unconsented bool   `help:"Show pictures of players too of whom no consent to film is on record."`
}

// Run writes the page of what each fault means.
func (m *wallCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	done, err := d.Wall.Write(c.ctx, wall.Query{Faces: m.Faces, Unconsented: m.Unconsented}, m.Out)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "%s, with %s.\n", done.Path, wording.Count(done.Pictures, "picture"))
	if done.Say != "" {
		fmt.Fprintln(c.out, done.Say)
	}
	return nil
}
