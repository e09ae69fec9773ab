package main

import (
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/store"
)

type checkCmd struct {
	Repair bool `help:"Keep what can be kept of the ledger in a new one, and set the damaged one aside."`
}

// Run prints what it finds, and fails where there is something wrong.
func (k *checkCmd) Run(c *command) error {
	found, err := k.look(c)
	if err != nil && !(k.Repair && errors.Is(err, store.ErrDamaged)) {
		return err
	}
	for _, s := range found {
		fmt.Fprintln(c.out, s)
	}
	if err == nil && len(found) == 0 {
		fmt.Fprintln(c.out, "The library is sound and every clip is in its place.")
		return nil
	}
	if !k.Repair {
		return &club.Problem{Say: fmt.Sprintf("%s to look at: see the sentences above.", things(len(found)))}
	}
	lost, err := desk.Repair(c.ctx, c.library)
	for _, s := range lost {
		fmt.Fprintln(c.out, s)
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out, "The ledger is repaired; the one before is kept beside it.")
	return nil
}

func (k *checkCmd) look(c *command) ([]string, error) {
	d, err := c.open(false)
	if err != nil {
		return nil, err
	}
	defer d.Close()
	return d.Check(c.ctx)
}

func things(n int) string {
	if n == 1 {
		return "There is one thing"
	}
	return fmt.Sprintf("There are %d things", n)
}
