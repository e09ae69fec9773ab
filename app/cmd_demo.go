package main

import (
	"fmt"

	"strokeledger/internal/demo/second"
	"strokeledger/internal/desk"
)

type demoCmd struct {
	Dir  string `arg:"" help:"New or empty folder." type:"path"`
	Seed int64  `help:"The same number makes the same club." default:"1"`
	// A second coach is a choice, since what two coaches have marked counts together.
	SecondCoach bool `help:"Have another coach look at the turns a second time, who misses a fifth, confuses two codes and is three frames late."`
}

// Run makes the invented club.
func (m *demoCmd) Run(c *command) error {
	progress := newBar(c.say)
	lib, err := desk.MakeDemo(c.ctx, m.Dir, m.Seed, progress.show)
	progress.end()
	if err != nil {
		return err
	}
	if m.SecondCoach {
		if err := desk.AddSecondCoach(c.ctx, lib, m.Seed, second.Usual()); err != nil {
			return err
		}
	}
	fmt.Fprintf(c.out, "The invented club is ready. Look at it with\n  strokeledger --library %q\n", lib)
	return nil
}
