package footage

import (
	"context"
	"errors"
	"maps"
	"slices"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/job"
)

// openAtMost is how many clips stay open: the one under review, the one before
// it, and one for thumbnails.
const openAtMost = 3

// pool keeps the clips used last open. A clip in use is never closed; waiting for
// one clip to open does not hold up the others.
type pool struct {
	open func(context.Context, club.ID) (*clip.Clip, error)
	most int // clips that stay open

	mu      sync.Mutex
	closed  bool
	slots   map[club.ID]*slot
	evicted map[*slot]bool // still in use, but handed out no more
	uses    int64          // counts up with every use
}

type slot struct {
	ready chan struct{} // closed when opened or failed
	film  *clip.Clip
	err   error
	users int
	last  int64
}

func newPool(open func(context.Context, club.ID) (*clip.Clip, error), most int) *pool {
	return &pool{open: open, most: most, slots: make(map[club.ID]*slot), evicted: make(map[*slot]bool)}
}

// get opens the clip, or hands out the one that is open; release must be called
// once.
func (p *pool) get(ctx context.Context, id club.ID) (f *clip.Clip, release func(), err error) {
	p.mu.Lock()
	if p.closed {
		p.mu.Unlock()
		return nil, nil, job.ErrClosed
	}
	s := p.slots[id]
	fresh := s == nil
	if fresh {
		s = &slot{ready: make(chan struct{})}
		p.slots[id] = s
	}
	p.uses++
	s.users, s.last = s.users+1, p.uses
	p.mu.Unlock()

	if fresh {
		// The clip outlives the request that opened it.
		s.film, s.err = p.open(context.WithoutCancel(ctx), id)
		close(s.ready)
	}
	release = sync.OnceFunc(func() { p.leave(id, s) })
	select {
	case <-s.ready:
	case <-ctx.Done():
		release()
		return nil, nil, ctx.Err()
	}
	if s.err != nil {
		release()
		return nil, nil, s.err
	}
	return s.film, release, nil
}

// leave ends one use. A clip that failed to open is forgotten, so that the next
// one tries again; beyond the most the idle ones used longest ago are closed.
func (p *pool) leave(id club.ID, s *slot) {
	var idle []*slot
	p.mu.Lock()
	if s.users--; s.users == 0 && p.evicted[s] {
		delete(p.evicted, s)
		idle = append(idle, s)
	}
	if s.users == 0 && s.err != nil && p.slots[id] == s {
		delete(p.slots, id)
	}
	for len(p.slots) > p.most {
		var oldest club.ID
		for id, s := range p.slots {
			if s.users == 0 && (oldest == "" || s.last < p.slots[oldest].last) {
				oldest = id
			}
		}
		if oldest == "" {
			break
		}
		idle = append(idle, p.slots[oldest])
		delete(p.slots, oldest)
	}
	p.mu.Unlock()
	for _, s := range idle {
		s.close() // only read from: nothing to lose
	}
}

// evict makes the next use of a clip open it anew. The open one is closed once
// nobody uses it any more.
func (p *pool) evict(id club.ID) {
	p.mu.Lock()
	s := p.slots[id]
	delete(p.slots, id)
	used := s != nil && s.users > 0
	if used {
		p.evicted[s] = true
	}
	p.mu.Unlock()
	if s != nil && !used {
		s.close()
	}
}

// close closes every clip, also those in use: their users get an error.
func (p *pool) close() error {
	p.mu.Lock()
	p.closed = true
	for _, s := range p.slots {
		p.evicted[s] = true
	}
	all := slices.Collect(maps.Keys(p.evicted))
	clear(p.slots)
	p.mu.Unlock()
	var errs []error
	for _, s := range all {
		errs = append(errs, s.close())
	}
	return errors.Join(errs...)
}

func (s *slot) close() error {
	<-s.ready
	if s.film == nil { // it failed to open
		return nil
	}
	return s.film.Close()
}
