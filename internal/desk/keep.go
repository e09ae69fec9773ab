package desk

import (
	"context"
	"fmt"
	"sync"

	"strokeledger/internal/club"
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
	ctx, done, err := d.jobs.Begin(ctx)
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
