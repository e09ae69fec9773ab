package demo

import (
	"math"
	"math/rand/v2"

	"strokeledger/internal/club"
)

// Contact is one sound of the ball at one moment.
type Contact struct {
	Seconds float64 // when it happened, clip time
	Kind    string  // "racket", "bounce" (on the table) or "other" (net, floor)
	Who     string  // "near" or "far": who struck it, or whose half it bounced on; "" for other
	At      Vec     // centre of the ball
	Ball    int     // index of the ball
	Stroke  int     // index of the near player's stroke, -1 for all else
}

// The kinds of contact and the two sides of the net.
const (
	OnRacket = "racket"
	OnTable  = "bounce"
	OnOther  = "other"
	Near     = "near"
	Far      = "far"
)

// drive is one stroke as it is played, by either figure.
type drive struct {
	t       float64
	at      Vec // racket and ball
	side    club.Side
	missed  bool
	faults  []way   // acted out
	answer  float64 // when the other plays next, or would have
	feeding bool    // the far figure strikes a ball out of the hand
	how     manner  // of the near figure
}

// placing is where a drill sends the balls.
type placing struct {
	fore, back float64 // y at which the near player strikes
	farY       float64 // y at which the partner strikes
	half       float64 // seconds from one racket to the other
	feed       float64 // seconds from feed to feed, 0 in a rally
	partner    float64 // chance that the partner errs
}

// placings reads a drill for a player of one hand. Tempo: 1.57 strokes a second,
// both players counted, IJPAS 2022 22(1):174-182, which makes about 1.27 s
// between a player's own; multiball is faster.
func placings(d club.Drill, leftHanded bool) placing {
	p := placing{fore: 0.34, back: 1.06, half: 0.635, farY: 0.80, partner: 0.03}
	switch d.Placement {
	case club.Diagonal:
		p.farY = 1.16
	case club.Parallel:
		p.farY = 0.42
	}
	if leftHanded {
		p.fore, p.back, p.farY = TableWidth-p.fore, TableWidth-p.back, TableWidth-p.farY
	}
	switch d.Ball {
	case club.Multiball:
		p.half, p.feed = 0.57, 0.80
	case club.ActiveBlock:
		p.half = 0.61
	case club.OpenRally:
		p.half, p.partner = 0.625, 0.10
	}
	if d.Method == club.Irregular && p.feed > 0 {
		p.feed = 0.88
	}
	return p
}

// rally plays one turn: it makes the balls, their contacts and the strokes of
// both figures.
type rally struct {
	rng      *rand.Rand
	placing  placing
	drill    club.Drill
	habit    habit
	to       float64 // end of the turn
	stroke   int     // strokes of the clip before this turn
	ball     int     // balls of the clip before this turn
	contacts []Contact
	balls    []Ball
	near     []drive
	far      []drive
}

func (r *rally) play(from, to float64) {
	r.to = to
	if r.placing.feed > 0 {
		for t := from + 0.5; r.fed(t); t += r.placing.feed + r.jitter(0.03) {
		}
		return
	}
	for t, more := from+0.6, true; more; t += 0.9 + r.rng.Float64()*0.4 {
		t, more = r.exchange(t)
	}
}

// fed is one ball of multiball: feed, stroke, and away. It reports false where
// the stroke no longer fits into the turn.
func (r *rally) fed(t float64) bool {
	hand, feed := r.fromHand(t)
	s := r.next()
	in, out := shot(feed.at, t, s.at, 0.45+r.jitter(0.07), r.placing.half+r.jitter(0.015))
	if out.to > r.to-lastStroke {
		return false
	}
	ball := &Ball{hand}
	r.give(feed, out.to)
	r.bounce(in, Near)
	ball.add(in, out)
	s.answer = t + r.placing.feed
	if back, good := r.strike(ball, out, s); good {
		r.away(ball, back)
	}
	r.balls = append(r.balls, *ball)
	return true
}

// lastStroke is how long before the end of a turn its last stroke may be.
const lastStroke = 0.4

// exchange is one rally from the feed until the ball is dead. It returns when
// that was, and whether the turn had room for it.
func (r *rally) exchange(t float64) (dead float64, more bool) {
	hand, feed := r.fromHand(t)
	s := r.next()
	in, out := shot(feed.at, t, s.at, 0.5+r.jitter(0.08), r.placing.half+r.jitter(0.02))
	if out.to > r.to-lastStroke {
		return t, false
	}
	ball := &Ball{hand}
	r.give(feed, out.to)
	for {
		r.bounce(in, Near)
		ball.add(in, out)
		s.answer = out.to + r.placing.half
		back, good := r.strike(ball, out, s)
		if !good {
			break
		}
		block := drive{t: back.to, at: back.place(back.to), answer: back.to + r.placing.half}
		s = r.next()
		in, out = shot(block.at, block.t, s.at, 0.5+r.jitter(0.09), r.placing.half+r.jitter(0.02))
		if out.to > r.to-lastStroke {
			r.away(ball, back) // time is up: the partner lets it pass
			break
		}
		ball.add(back)
		r.far = append(r.far, block)
		r.hit(Contact{Seconds: block.t, Kind: OnRacket, Who: Far, At: block.at, Stroke: -1})
		if r.rng.Float64() < r.placing.partner {
			r.spoil(ball, block.at, block.t)
			break
		}
	}
	r.balls = append(r.balls, *ball)
	return ball.last().to, true
}

// fromHand is a ball in the partner's hand and on its way to the racket.
func (r *rally) fromHand(t float64) ([]flight, drive) {
	feed := drive{t: t, feeding: true,
		at: Vec{2.98 + r.jitter(0.03), r.placing.farY + r.jitter(0.05), 0.99 + r.jitter(0.03)}}
	hand := feed.at.Add(Vec{0.08, -0.2, -0.06})
	const toss = 0.24
	return []flight{{from: t - 0.6, to: t - toss, at: hand, held: true}, reach(hand, feed.at, t-toss, toss)}, feed
}

func (r *rally) give(feed drive, answer float64) {
	feed.answer = answer
	r.far = append(r.far, feed)
	r.hit(Contact{Seconds: feed.t, Kind: OnRacket, Who: Far, At: feed.at, Stroke: -1})
}

// next is the near player's next stroke: its side, its faults, and the place to
// play it from.
func (r *rally) next() drive {
	s := drive{side: r.drill.Pattern.Side(len(r.near))}
	if s.side == "" {
		s.side = club.Forehand
		if r.rng.Float64() < 0.5 {
			s.side = club.Backhand
		}
	}
	s.faults = r.habit.draw(r.rng, s.side)
	s.at = Vec{-0.14 + r.jitter(0.05), r.placing.fore + r.jitter(0.06), 0}
	if s.side == club.Backhand {
		s.at.Y = r.placing.back + r.jitter(0.06)
	}
	if has(s.faults, tooNear) {
		s.at.X = 0.07 + r.jitter(0.03)
	}
	return s
}

// strike lets the near player play the ball at the end of a flight. A good ball
// comes back as the flight after its bounce, up to the partner's racket; the
// caller adds it.
func (r *rally) strike(ball *Ball, in flight, s drive) (back flight, good bool) {
	s.t, s.at = in.to, in.place(in.to)
	s.missed = r.rng.Float64() < r.habit.miss+0.10*float64(len(s.faults))
	r.hit(Contact{Seconds: s.t, Kind: OnRacket, Who: Near, At: s.at, Stroke: r.stroke + len(r.near)})
	r.near = append(r.near, s)
	if s.missed {
		r.spoil(ball, s.at, s.t)
		return flight{}, false
	}
	goal := Vec{2.95 + r.jitter(0.04), r.placing.farY + r.jitter(0.07), 0}
	out, back := shot(s.at, s.t, goal, 2.28+r.jitter(0.1), r.placing.half+r.jitter(0.02))
	r.bounce(out, Far)
	ball.add(out)
	return back, true
}

// shot is a ball over the net: it bounces at x = bounce and reaches the goal's x
// and y, at whatever height, about so many seconds later (longer where it would
// not clear the net).
func shot(from Vec, t float64, goal Vec, bounce, seconds float64) (out, back flight) {
	before, after := math.Abs(bounce-from.X), math.Abs(goal.X-bounce)
	// A bounce keeps the plan of the flight straight: both level speeds shrink alike.
	spot := Vec{bounce, from.Y + (goal.Y-from.Y)*before/(before+after), TableHeight + BallRadius}
	for first := seconds / (1 + after/(grip*before)); ; first += 0.01 {
		out = reach(from, spot, t, first)
		if out.clearsNet() {
			return out, out.bounce(restitution, after/(grip*before/first))
		}
	}
}

// away lets a flight run on to the floor.
func (r *rally) away(ball *Ball, f flight) {
	f.to = f.from + f.fall(BallRadius)
	ball.add(f)
	r.floor(ball)
}

// floor is the last bounce of a ball, on the floor behind.
func (r *rally) floor(ball *Ball) {
	f := ball.last()
	r.hit(Contact{Seconds: f.to, Kind: OnOther, At: f.place(f.to), Stroke: -1})
	ball.add(f.bounce(floorBounce, 0.4))
}

// spoil plays a ball into the net or past the table.
func (r *rally) spoil(ball *Ball, at Vec, t float64) {
	ahead := 1.0
	if at.X > NetX {
		ahead = -1
	}
	if r.rng.Float64() < 0.55 {
		r.intoNet(ball, at, t, ahead)
		return
	}
	y := at.Y + r.jitter(0.35)
	end := NetX + ahead*(NetX+1.5+r.rng.Float64()*0.5)
	for seconds := 0.6; ; seconds += 0.02 {
		f := reach(at, Vec{end, y, BallRadius}, t, seconds)
		edge := f.place(f.whenX(NetX + ahead*NetX))
		if f.clearsNet() && edge.Z > TableHeight+0.05 {
			ball.add(f)
			r.floor(ball)
			return
		}
	}
}

// intoNet drops a ball from the net onto the half it came from.
func (r *rally) intoNet(ball *Ball, at Vec, t, ahead float64) {
	goal := Vec{NetX - ahead*BallRadius, at.Y + r.jitter(0.15), TableHeight + 0.05 + r.rng.Float64()*0.07}
	f := reach(at, goal, t, math.Abs(goal.X-at.X)/5.2)
	ball.add(f)
	r.hit(Contact{Seconds: f.to, Kind: OnOther, At: goal, Stroke: -1})
	drop := flight{from: f.to, at: goal, v: Vec{-ahead * (0.35 + 0.2*r.rng.Float64()), f.v.Y * 0.2, -0.3}}
	half := Near
	if ahead < 0 {
		half = Far
	}
	for range 3 {
		drop.to = drop.from + drop.fall(TableHeight+BallRadius)
		ball.add(drop)
		r.bounce(drop, half)
		drop = drop.bounce(restitution, 0)
	}
	drop.to = drop.from + drop.fall(TableHeight+BallRadius)
	ball.add(drop)
}

// bounce notes that a flight ends on the table.
func (r *rally) bounce(f flight, half string) {
	r.hit(Contact{Seconds: f.to, Kind: OnTable, Who: half, At: f.place(f.to), Stroke: -1})
}

// hit notes a contact of the ball that is in play.
func (r *rally) hit(c Contact) {
	c.Ball = r.ball + len(r.balls)
	r.contacts = append(r.contacts, c)
}

// jitter is an even spread of so much to both sides.
func (r *rally) jitter(spread float64) float64 { return (2*r.rng.Float64() - 1) * spread }
