package main

import (
	"errors"
	"fmt"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/backup"
	"strokeledger/internal/store"
)

type checkCmd struct {
	Repair bool `help:"Keep what can be kept of the ledger in a new one, and set the damaged one aside."`
}

// Run prints what it finds, and fails where something stays wrong. A repair
// touches nothing but a ledger in which something was found.
func (k *checkCmd) Run(c *command) error {
	ledger, files, err := look(c)
	damaged := errors.Is(err, store.ErrDamaged)
	if err != nil && !(k.Repair && damaged) {
		return err
	}
	tell(c, ledger)
	if k.Repair && (damaged || len(ledger) > 0) {
		lost, err := backup.Repair(c.ctx, c.library)
		tell(c, lost)
		if err != nil {
			return err
		}
		fmt.Fprintln(c.out, "The ledger is repaired; the one before is kept in the folder backups of the library.")
		if ledger, files, err = look(c); err != nil {
			return err
		}
		tell(c, ledger)
	}
	tell(c, files)
	if n := len(ledger) + len(files); n > 0 {
		return &club.Problem{Say: fmt.Sprintf("%s to look at: see the sentences above.", things(n))}
	}
	fmt.Fprintln(c.out, "The library is sound and every clip is in its place.")
	return nil
}

func tell(c *command, sentences []string) {
	for _, s := range sentences {
		fmt.Fprintln(c.out, onLine(s))
	}
}

func look(c *command) (ledger, files []string, err error) {
	d, err := c.open(false)
	if err != nil {
		return nil, nil, err
	}
	defer d.Close()
	if ledger, files, err = d.Check(c.ctx); err != nil {
		return ledger, files, err
	}
	say, err := d.Library.Renewed(c.ctx)
	if say != "" {
		tell(c, []string{say})
	}
	return ledger, files, err
}

func things(n int) string {
	if n == 1 {
		return "There is one thing"
	}
	return fmt.Sprintf("There are %d things", n)
}
