package desk

import (
	"context"
	"sync"
)

// jobs are what takes longer than one look at the ledger: scans and adding files.
// They end before the library closes.
type jobs struct {
	ctx     context.Context // ends with stop
	cancel  context.CancelFunc
	mu      sync.Mutex // keeps begin from counting while wait counts down
	running sync.WaitGroup
}

func newJobs() *jobs {
	j := new(jobs)
	j.ctx, j.cancel = context.WithCancel(context.Background())
	return j
}

// begin makes a context that ends with ctx or with stop; done must be called once.
func (j *jobs) begin(ctx context.Context) (_ context.Context, done func(), err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.ctx.Err() != nil {
		return nil, nil, errClosed
	}
	j.running.Add(1)
	ctx, cancel := context.WithCancel(ctx)
	quiet := context.AfterFunc(j.ctx, cancel)
	return ctx, func() { quiet(); cancel(); j.running.Done() }, nil
}

func (j *jobs) stop() {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.cancel()
}

func (j *jobs) wait() { j.running.Wait() }
