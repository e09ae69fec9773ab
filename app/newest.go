package main

import (
	"context"
	"sync"
)

// newest lets one request of a kind run: the newest. The ones before it end with
// context.Canceled, which the page drops. The zero value is ready.
type newest struct {
	mu   sync.Mutex
	stop context.CancelFunc // of the last one
}

// begin ends the request before; end is to be called once.
func (n *newest) begin(ctx context.Context) (_ context.Context, end context.CancelFunc) {
	ctx, end = context.WithCancel(ctx)
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.stop != nil {
		n.stop()
	}
	n.stop = end
	return ctx, end
}
