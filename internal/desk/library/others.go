package library

import (
	"context"
	"slices"
	"sync"

	"strokeledger/internal/store"
)

// ownChanges remembers what was changed here since the last look at the change log.
type ownChanges struct {
	mu     sync.Mutex
	looked bool
	seen   int64   // place in the log at the last look
	own    []int64 // places of the changes made here after that
}

// count takes a change that was made here, and passes it on.
func (t *ownChanges) count(ch store.Change, err error) (store.Change, error) {
	if err == nil {
		t.mu.Lock()
		defer t.mu.Unlock()
		if ch.Seq > t.seen { // else a look has passed it already
			t.own = append(t.own, ch.Seq)
		}
	}
	return ch, err
}

// Others reports whether another window or command has changed the library, or
// put a backup in its place, since the last call, or since it was opened here.
// A change made here that is under way may be taken for another's, which costs
// the screen a fresh look.
func (l *Library) Others(ctx context.Context) (bool, error) {
	t := &l.own
	t.mu.Lock()
	defer t.mu.Unlock()
	latest, err := l.Latest(ctx)
	if err != nil {
		return false, err
	}
	later := slices.DeleteFunc(slices.Clone(t.own), func(seq int64) bool { return seq <= latest })
	changed := t.looked && latest-t.seen != int64(len(t.own)-len(later))
	t.seen, t.own, t.looked = latest, later, true
	return changed, nil
}
