package clip

import (
	"container/list"
	"context"
	"errors"
	"image"
	"sync"

	"strokeledger/internal/clip/av"
)

const quality = 85

type shot struct{ n, width int }

type order struct {
	shot
	whole  bool
	ctx    context.Context
	answer chan answer
}

type answer struct {
	jpeg  []byte
	image *image.RGBA
	err   error
}

// player makes pictures. One goroutine owns its cursor.
type player struct {
	clip *Clip
	cur  *cursor
	view *av.View

	mu      sync.Mutex
	orders  []*order
	wake    chan struct{}
	stop    context.CancelFunc
	ctx     context.Context
	done    chan struct{}
	cache   map[shot]*list.Element
	recent  *list.List
	bytes   int
	held    *av.Picture
	heldNum int
}

type kept struct {
	shot
	data []byte
}

func newPlayer(c *Clip, cur *cursor) *player {
	p := &player{clip: c, cur: cur, view: av.NewView(), wake: make(chan struct{}, 1), done: make(chan struct{}), cache: map[shot]*list.Element{}, recent: list.New()}
	p.ctx, p.stop = context.WithCancel(c.ctx)
	go p.run()
	return p
}

func (p *player) jpeg(ctx context.Context, n, width int) ([]byte, error) {
	p.mu.Lock()
	if e, ok := p.cache[shot{n, width}]; ok {
		p.recent.MoveToFront(e)
		p.mu.Unlock()
		return e.Value.(*kept).data, nil
	}
	p.mu.Unlock()
	a := p.ask(&order{shot: shot{n, width}, ctx: ctx})
	return a.jpeg, a.err
}

func (p *player) image(ctx context.Context, n int) (*image.RGBA, error) {
	a := p.ask(&order{shot: shot{n, 0}, whole: true, ctx: ctx})
	return a.image, a.err
}

func (p *player) ask(o *order) answer {
	o.answer = make(chan answer, 1)
	p.mu.Lock()
	p.orders = append(p.orders, o)
	p.mu.Unlock()
	select {
	case p.wake <- struct{}{}:
	default:
	}
	select {
	case a := <-o.answer:
		return a
	case <-o.ctx.Done():
		return answer{err: o.ctx.Err()}
	case <-p.ctx.Done():
		return answer{err: ErrClosed}
	}
}

func (p *player) run() {
	defer close(p.done)
	for {
		p.mu.Lock()
		var o *order
		if k := len(p.orders); k > 0 {
			o, p.orders = p.orders[k-1], p.orders[:k-1]
		}
		p.mu.Unlock()
		if o == nil {
			select {
			case <-p.wake:
				continue
			case <-p.ctx.Done():
				return
			}
		}
		if o.ctx.Err() != nil {
			continue
		}
		o.answer <- p.make(o)
	}
}

func (p *player) make(o *order) (a answer) {
	pic, err := p.picture(o.n)
	if err != nil {
		return answer{err: err}
	}
	if o.whole {
		a.image, a.err = p.view.RGBA(pic, p.clip.look)
		return a
	}
	a.jpeg, a.err = p.view.JPEG(pic, p.clip.look.Within(o.width), quality)
	if a.err == nil {
		p.mu.Lock()
		p.cache[o.shot] = p.recent.PushFront(&kept{o.shot, a.jpeg})
		for p.bytes += len(a.jpeg); p.bytes > 64<<20; {
			e := p.recent.Back()
			k := p.recent.Remove(e).(*kept)
			delete(p.cache, k.shot)
			p.bytes -= len(k.data)
		}
		p.mu.Unlock()
	}
	return a
}

// picture decodes picture n; where it cannot be made, the one before it.
func (p *player) picture(n int) (*av.Picture, error) {
	if p.held != nil && p.heldNum == n {
		return p.held, nil
	}
	x := p.clip.Index()
	place := x.enter(n)
	for try := 0; ; try++ {
		if try > 0 || !p.cur.ahead(x, n) {
			if err := p.cur.enter(p.ctx, x, place); err != nil {
				return nil, err
			}
		}
		for {
			got, pic, err := p.cur.step(p.ctx, n)
			if err != nil && !errors.Is(err, av.ErrEnd) {
				return nil, err
			}
			if err == nil && got <= n {
				p.hold(pic, got)
				if got == n {
					return pic, nil
				}
				continue
			}
			if err == nil {
				pic.Close()
			}
			break
		}
		if try == 1 {
			if p.held != nil && p.heldNum < n {
				p.heldNum = n
				return p.held, nil
			}
			return nil, faultf(ErrFrame, "Frame %d is damaged and nothing before it can be shown in its place.", n)
		}
		place = max(0, place-1)
	}
}

func (p *player) hold(pic *av.Picture, n int) {
	if p.held != nil {
		p.held.Close()
	}
	p.held, p.heldNum = pic, n
}

func (p *player) close() {
	p.stop()
	<-p.done
	p.cur.close()
	p.view.Close()
	if p.held != nil {
		p.held.Close()
	}
}
