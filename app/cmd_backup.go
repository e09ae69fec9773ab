package main

import (
	"fmt"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/backup"
	"strokeledger/internal/sentence"
)

type backupCmd struct {
	File string `arg:"" help:"File to write." type:"path"`
}

// Run writes the ledger to one file; others may go on working meanwhile.
func (b *backupCmd) Run(c *command) error {
	d, err := c.open(false)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Documents.Backup(c.ctx, b.File); err != nil {
		return err
	}
	fmt.Fprintln(c.out, b.File)
	return nil
}

// keepBackup makes today's backup before a command writes. Where that fails the
// command goes on, and says so.
func (c *command) keepBackup(d *desk.Desk) {
	if err := d.Library.KeepBackup(c.ctx); err != nil && c.ctx.Err() == nil {
		fmt.Fprintln(c.say, "Today's backup could not be made:", sentence.Of(err))
	}
}

type restoreCmd struct {
	File string `arg:"" help:"Backup to put in the ledger's place." type:"path"`
}

// Run puts a backup in the ledger's place after checking it.
func (r *restoreCmd) Run(c *command) error {
	if err := backup.Restore(c.ctx, c.library, r.File, "the command restore"); err != nil {
		return err
	}
	fmt.Fprintln(c.out, "Restored. The ledger as it was before is in the folder backups of the library.")
	return nil
}
