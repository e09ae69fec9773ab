package desk

import (
	"context"
	"fmt"
	"os"
	"sync"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// keeper remembers how the daily backups go.
type keeper struct {
	mu  sync.Mutex
	day club.Date // of the last try
	say string    // what kept it from being made, else empty
}

// KeepBackup makes today's backup of the library unless there is one; the last
// ten stay. It is cheap to call often. What keeps it from being made is told in
// State's warning, once a day.
func (d *Desk) KeepBackup(ctx context.Context) error {
	ctx, done, err := d.jobs.begin(ctx)
	if err != nil {
		return err
	}
	defer done()
	k, today := &d.safe, d.today()
	k.mu.Lock()
	before := k.day
	k.day = today // one try at a time; nobody waits for it who asks for the warning
	k.mu.Unlock()
	if before == today {
		return nil
	}
	_, err = d.lib.BackupDaily(ctx)
	k.mu.Lock()
	defer k.mu.Unlock()
	if ctx.Err() != nil {
		k.day = before
		return ctx.Err()
	}
	k.say = ""
	if err != nil {
		k.say = fmt.Sprintf("Today's backup could not be made: %s", Sentence(FileError("write", "the backup", err)))
	}
	return err
}

// warning is one sentence that the coach should see, or empty.
func (d *Desk) warning() string {
	if say := d.lib.Warning(); say != "" {
		return say
	}
	d.safe.mu.Lock()
	defer d.safe.mu.Unlock()
	return d.safe.say
}

// Repair keeps what can be kept of the library in a folder in a new ledger, puts
// that in the place of the damaged one, which stays beside it under another name,
// and tells, one sentence each, what could not be kept. The library must not be
// open meanwhile.
func Repair(ctx context.Context, dir string) (said []string, err error) {
	file, rep, err := store.Repair(ctx, dir, store.Options{})
	if err != nil {
		return nil, err
	}
	return rep.Findings, store.Restore(ctx, dir, file, store.Options{})
}

// Backup writes the ledger to a file, in one piece, while others go on working.
// The file is on the list of documents, for every player of the club.
func (d *Desk) Backup(ctx context.Context, file string) error {
	all, err := d.everyone(ctx)
	if err != nil {
		return err
	}
	write := func() error { return FileError("write", file, d.lib.Backup(ctx, file)) }
	if _, err := os.Lstat(file); err == nil {
		return write() // refuses: what is there is not to stand on the list
	}
	return d.listed(ctx, []string{file}, "backup", all, write)
}

// Restore puts a backup in the place of the ledger of a library, which must not
// be open here; the backup is checked first, and what it replaces is kept beside
// it. Others who write meanwhile are told that who has the library.
func Restore(ctx context.Context, dir, file, who string) error {
	return store.Restore(ctx, dir, file, store.Options{Who: who})
}

// Kept is a backup in the folder of a library, made by the program itself.
type Kept struct {
	Path  string    `json:"path"`
	Kind  string    `json:"kind"` // "daily", "before-restore" or "version": before a newer program changed it
	Day   club.Date `json:"day"`  // on which it was made, where the computer stands
	Clock string    `json:"clock"`
	Bytes int64     `json:"bytes"`
}

// Backups lists those of the library in a folder, newest first, whether it can be
// opened or not.
func Backups(dir string) ([]Kept, error) {
	found, err := store.Backups(dir)
	if err != nil {
		return nil, err
	}
	all := make([]Kept, len(found))
	for i, k := range found {
		made := k.Made.Local()
		all[i] = Kept{k.Path, k.Kind, club.Date(made.Format(time.DateOnly)), made.Format("15:04"), k.Bytes}
	}
	return all, nil
}
