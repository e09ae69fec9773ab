package desk

import (
	"context"
	"sync"

	"strokeledger/internal/store"
)

// tide counts this desk's own changes between two looks at the change log.
type tide struct {
	mu     sync.Mutex
	looked bool
	seen   int64 // place in the log at the last look
	own    int64 // changes of this desk since then
}

// count takes a change that this desk made, and passes it on.
func (t *tide) count(ch store.Change, err error) (store.Change, error) {
	if err == nil && ch.Seq > 0 {
		t.mu.Lock()
		t.own++
		t.mu.Unlock()
	}
	return ch, err
}

// Others reports whether another window or command has changed the library since
// the last call; the first call only takes note. A change of this desk that is
// under way may be taken for another's, which costs the screen a fresh look.
func (d *Desk) Others(ctx context.Context) (bool, error) {
	d.own.mu.Lock()
	defer d.own.mu.Unlock()
	latest, err := d.lib.Latest(ctx)
	if err != nil {
		return false, err
	}
	changed := d.own.looked && latest-d.own.seen > d.own.own
	d.own.seen, d.own.own, d.own.looked = latest, 0, true
	return changed, nil
}
