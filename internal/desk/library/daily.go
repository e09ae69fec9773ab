package library

import (
	"context"
	"fmt"
	"sync"

	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

// daily remembers how the daily backups go.
type daily struct {
	mu  sync.Mutex
	day club.Date // of the last try
	say string    // what kept it from being made, else empty
}

// KeepBackup makes today's backup of the library unless there is one; the last
// ten stay. It is cheap to call often. What keeps it from being made is told in
// State's warning, once a day.
func (l *Library) KeepBackup(ctx context.Context) error {
	ctx, done, err := l.Jobs.Begin(ctx)
	if err != nil {
		return err
	}
	defer done()
	k, today := &l.safe, l.Today()
	k.mu.Lock()
	before := k.day
	k.day = today // one try at a time; nobody waits for it who asks for the warning
	k.mu.Unlock()
	if before == today {
		return nil
	}
	_, err = l.BackupDaily(ctx)
	k.mu.Lock()
	defer k.mu.Unlock()
	if ctx.Err() != nil {
		k.day = before
		return ctx.Err()
	}
	k.say = ""
	if err != nil {
		k.say = fmt.Sprintf("Today's backup could not be made: %s", sentence.Of(sentence.File("write", "the backup", err)))
	}
	return err
}

// warning is one sentence that the coach should see, or empty.
func (l *Library) warning() string {
	if say := l.Warning(); say != "" {
		return say
	}
	l.safe.mu.Lock()
	defer l.safe.mu.Unlock()
	return l.safe.say
}
