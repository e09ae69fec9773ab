package hall

import (
	"math"
	"math/rand/v2"
)

// Turn is one player's turn in a session.
type Turn struct {
	From, To float64 // a little before its first contact and after its last
}

// Session is a recording of several turns, one after the other. Its pauses are those
// between the last contact on racket or table and the next one, longer than a ball
// stays in play.
type Session struct {
	Recording
	Turns   []Turn
	Pauses  []float64 // inside turns
	Changes []float64 // between turns
}

// Separable reports whether some length parts the pauses inside turns from those
// between them.
func (s Session) Separable() bool { return s.Overlap() == 0 }

// Overlap is the share of the pauses that lie on the wrong side of the best length
// to part them by.
func (s Session) Overlap() float64 {
	all := len(s.Pauses) + len(s.Changes)
	if all == 0 {
		return 0
	}
	wrong := func(limit float64) (n int) {
		for _, p := range s.Pauses {
			if p > limit {
				n++
			}
		}
		for _, c := range s.Changes {
			if c <= limit {
				n++
			}
		}
		return n
	}
	least := wrong(0)
	for _, p := range s.Pauses {
		least = min(least, wrong(p))
	}
	return float64(least) / float64(all)
}

// waiting draws the pauses of one kind. A session's are equally likely anywhere in a
// range of its own, mostly near its lower end with a few long ones, or of two lengths.
type waiting struct {
	lo, hi float64
	shape  int
}

func (h *hall) waiting(least, most, longest float64) waiting {
	lo := h.between(least, most)
	return waiting{lo: lo, hi: h.between(lo, longest), shape: h.rng.IntN(3)}
}

func (w waiting) draw(h *hall) float64 {
	switch w.shape {
	case 0:
		return h.between(w.lo, w.hi)
	case 1:
		return w.lo + min(w.hi-w.lo, h.rng.ExpFloat64()*(w.hi-w.lo)/4)
	default:
		if h.rng.Float64() < .7 {
			return w.lo * h.between(1, 1.15)
		}
		return w.hi * h.between(.9, 1)
	}
}

// MakeSession records a session of several turns at one table: rallies or balls from
// the basket, pauses of 1 to 12 s in which balls are fetched or the basket is filled,
// and 4 to 60 s until the next player is there. Every range is drawn wide and by
// itself, so that in some sessions no length tells the two kinds of pause apart.
func MakeSession(c Condition, seed int64, rate int) Session {
	h, own := begin(c, seed, rate)
	plays, s, seconds := h.session()
	s.Recording = h.record(c, own, inOrder(plays, seconds), seconds)
	return s
}

// Played is a session without its sound: only what is true of it.
func Played(seed int64) Session {
	h := &hall{rng: rand.New(rand.NewPCG(uint64(seed), 1)), rate: 1}
	plays, s, seconds := h.session()
	h.strike(h.table(2, 4), inOrder(plays, seconds), true)
	s.Truth, s.Beside = h.truth, h.beside
	return s
}

// session draws what is played. Beyond that nothing lies in it: no play in a change.
func (h *hall) session() (all []strikes, s Session, seconds float64) {
	fetch := h.waiting(1, 6, 12)
	change := h.waiting(4, 30, 60)
	rallies := h.between(0, 1) // the share of turns in rallies
	speed := even(h.between(.25, .36), h.between(.15, .26))
	t := h.between(1.5, 8)
	last := math.Inf(-1)
	for turn := range 3 + h.rng.IntN(5) {
		if turn > 0 {
			t = last + change.draw(h)
		}
		from := t
		series := 2 + h.rng.IntN(10)
		inRallies := h.rng.Float64() < rallies
		if !inRallies {
			series = 1 + h.rng.IntN(4)
		}
		for i := range series {
			if i > 0 {
				t = last + fetch.draw(h)
			}
			v := speed
			v.jitter = h.between(.05, .16)
			part := h.rally
			if !inRallies {
				hand := h.rng.Float64() < .7
				part = func(t float64, v tempo) []strikes { return h.feed(t, v, hand) }
			}
			one := part(t, v)
			first, end := span(one)
			switch {
			case i > 0:
				s.Pauses = append(s.Pauses, first-last)
			case turn > 0:
				s.Changes = append(s.Changes, first-last)
				from = first
			default:
				from = first
			}
			last = end
			all = append(all, one...)
		}
		s.Turns = append(s.Turns, Turn{from - h.between(.2, 1.2), last + h.between(.2, 1.2)})
	}
	return all, s, last + h.between(1.5, 8)
}

// span is from the first to the last contact on racket or table.
func span(plays []strikes) (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	for _, p := range plays {
		if p.what == racket || p.what == bounce {
			first, last = min(first, p.at), max(last, p.at)
		}
	}
	return first, last
}
