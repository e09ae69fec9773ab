// Package job keeps count of what takes long, so that a library closes only once
// nothing works on it any more.
package job

import (
	"context"
	"sync"

	"strokeledger/internal/club"
)

// Group are the jobs of one library: scans, and adding files. It is safe for
// concurrent use.
type Group struct {
	ctx     context.Context // ends with Stop
	cancel  context.CancelFunc
	mu      sync.Mutex // keeps Begin from counting while Wait counts down
	running sync.WaitGroup
}

// ErrClosed is for whoever begins something in a library that closes.
var ErrClosed = &club.Problem{Say: "This library was closed meanwhile: do it again in the one that is open now."}

// NewGroup is a group without a job.
func NewGroup() *Group {
	j := new(Group)
	j.ctx, j.cancel = context.WithCancel(context.Background())
	return j
}

// Begin makes a context that ends with ctx or with Stop; done must be called once.
func (j *Group) Begin(ctx context.Context) (_ context.Context, done func(), err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.ctx.Err() != nil {
		return nil, nil, ErrClosed
	}
	j.running.Add(1)
	ctx, cancel := context.WithCancel(ctx)
	quiet := context.AfterFunc(j.ctx, cancel)
	return ctx, func() { quiet(); cancel(); j.running.Done() }, nil
}

// Stop ends the contexts of all jobs; no other begins.
func (j *Group) Stop() {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.cancel()
}

// Stopped reports whether Stop was called.
func (j *Group) Stopped() bool { return j.ctx.Err() != nil }

// Wait waits for every job to be done.
func (j *Group) Wait() { j.running.Wait() }
