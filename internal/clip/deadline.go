package clip

import (
	"context"
	"errors"
	"os"
	"time"

	"strokeledger/internal/clip/av"
)

// ErrSlow means that the drive did not answer within [ReadTimeout]. The call may be
// repeated: it succeeds once the drive answers.
var ErrSlow = errors.New("drive does not answer")

// ReadTimeout is how long one reading of a file may take before callers are told: a
// sleeping disk needs up to some seven seconds to spin up (common practice, no
// source). A read cannot be cancelled, so it is abandoned and frees what it holds
// when the drive answers or fails.
const ReadTimeout = 8 * time.Second

// deadline runs work that reads one file and gives up waiting for it after limit.
type deadline struct {
	path   string
	watch  *av.Watch
	limit  time.Duration
	drives *Drives // other calls under way on the same path; nil: not counted
}

func newDeadline(path string) *deadline {
	return &deadline{path: path, watch: &av.Watch{}, limit: ReadTimeout}
}

// slow is the sentence for a drive that has not answered for too long, nil while
// it may still.
func (p *deadline) slow() error {
	if p.watch.Waiting() < p.limit {
		return nil
	}
	return p.hangs()
}

// hangs is that sentence.
func (p *deadline) hangs() error {
	return problemf(ErrSlow, "The drive with %q does not answer: check that it is connected, then try again.", p.path)
}

// tick is how often slow should be asked.
func (p *deadline) tick() time.Duration { return p.limit / 8 }

// wait waits until done is closed. The error is the context's or slow's.
func (p *deadline) wait(ctx context.Context, done <-chan struct{}) error {
	tick := time.NewTicker(p.tick())
	defer tick.Stop()
	for {
		select {
		case <-done:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
			if err := p.slow(); err != nil {
				return err
			}
		}
	}
}

// try runs work on a goroutine of its own, and abandons it where it takes too long:
// what it writes must not be read after an error.
func (p *deadline) try(ctx context.Context, work func()) error {
	return p.tryOpening(ctx, work, func() {})
}

// tryOpening is try for work that opens something: late closes it, called once the
// abandoned work has ended.
func (p *deadline) tryOpening(ctx context.Context, work, late func()) error {
	if err := p.slow(); err != nil {
		return err
	}
	if err := p.drives.slow(p.path); err != nil {
		return err
	}
	done := make(chan struct{})
	p.drives.begin(p)
	go func() {
		defer close(done)
		defer p.drives.end(p)
		work()
	}()
	err := p.wait(ctx, done)
	if err != nil {
		go func() {
			<-done
			late()
		}()
	}
	return err
}

// watchedFile is a file whose every read is watched.
type watchedFile struct {
	*os.File
	watch *av.Watch
}

func (f watchedFile) Read(b []byte) (n int, err error) {
	f.watch.During(func() { n, err = f.File.Read(b) })
	return n, err
}

func (f watchedFile) ReadAt(b []byte, at int64) (n int, err error) {
	f.watch.During(func() { n, err = f.File.ReadAt(b, at) })
	return n, err
}

// check is reachable under watch.
func (p *deadline) check() (err error) {
	p.watch.During(func() { _, err = reachable(p.path) })
	return err
}
