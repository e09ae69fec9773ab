package demo

import (
	"math"
	"math/rand/v2"

	"strokeledger/internal/club"
)

// actor builds the motion of one person from what happens to the ball.
type actor struct {
	rng   *rand.Rand
	look  Look
	left  bool
	near  bool
	k     float64 // of the body
	keys  []key
	race  []plant // racket-side foot
	other []plant
}

func newActor(rng *rand.Rand, look Look, left, near bool) *actor {
	return &actor{rng: rng, look: look, left: left, near: near, k: look.Height / bodyHeight}
}

// axes are forward and the racket side where the person faces the table.
func (a *actor) axes() (fwd, side Vec) {
	fwd, side = Vec{1, 0, 0}, Vec{0, -1, 0}
	if !a.near {
		fwd, side = Vec{-1, 0, 0}, Vec{0, 1, 0}
	}
	if a.left {
		side = side.Times(-1)
	}
	return fwd, side
}

// heading is the angle of forward where the person faces the table.
func (a *actor) heading() float64 {
	if a.near {
		return 0
	}
	return math.Pi
}

// pose sizes a stance for the body and stands it over the hips.
func (a *actor) pose(s stance, hips Vec, heading float64) pose {
	const degree = math.Pi / 180
	_, side := a.axes()
	hips = hips.Add(side.Times(s.shift * a.k))
	var p pose
	p[pelvisX], p[pelvisY], p[facing] = hips.X, hips.Y, heading
	p[hipHeight], p[lean], p[twistBack], p[elbowOut] = s.hip*a.k, s.lean*degree, s.twist*degree, s.elbow*degree
	p[racketFwd], p[racketSide], p[racketUp] = s.fwd*a.k, s.side*a.k, s.up*a.k
	p[bladeFwd], p[bladeSide], p[bladeUp] = s.bf, s.bs, s.bu
	p[handFwd], p[handSide], p[handUp] = s.hf*a.k, s.hs*a.k, s.hu*a.k
	return p
}

func (a *actor) key(t float64, s stance, hips Vec) {
	a.keys = append(a.keys, key{t, a.pose(s, hips, a.heading())})
}

// meet is a key in which the blade's centre is exactly at a place.
func (a *actor) meet(t float64, s stance, at Vec) {
	fwd, side := a.axes()
	hips := at.Sub(fwd.Times(s.fwd * a.k)).Sub(side.Times(s.side * a.k))
	hips.Z = 0
	s.up, s.shift = at.Z/a.k, 0
	a.key(t, s, hips)
}

// stand plants both feet under the hips.
func (a *actor) stand(from, to float64, hips Vec, closed float64) {
	fwd, side := a.axes()
	put := func(f, s float64) Vec { return hips.Add(fwd.Times(f * a.k)).Add(side.Times(s * a.k)) }
	feet, _ := soles(closed)
	r, o := put(feet[0], stride/2), put(feet[1], -stride/2)
	a.race = append(a.race, plant{from, to, r.X, r.Y})
	a.other = append(a.other, plant{from + 0.03, to - 0.03, o.X, o.Y})
}

// stride is from foot to foot, across, for a body of 1.65 m.
const stride = 0.62

// soles are how far ahead of the hips the ankles of the racket foot and of the other
// stand, and how far the middle of the soles is, for a body of 1.65 m.
func soles(closed float64) (ankles [2]float64, middle float64) {
	ankles = [2]float64{-0.10 - closed, 0.06 + closed/2}
	return ankles, (ankles[0]+ankles[1])/2 + (toeAhead-heelBack)/2
}

// backWithin is how near the blade's centre is to its place in the ready stance, for a
// body of 1.65 m, when the hand is back.
const backWithin = 0.20

// lastGap is how long after a turn's last stroke the next would have been.
const lastGap = 0.9

// player acts the near strokes between two times: home is where the hips wait.
func (a *actor) player(from, to float64, strokes []drive, home Vec) {
	ready := readyStance.stance()
	a.key(from, ready, home)
	a.stand(from, from+0.1, home, 0)
	free := from + 0.15 // from when the body is free for the next stroke
	for i, s := range strokes {
		next := s.t + lastGap
		if i+1 < len(strokes) {
			next = strokes[i+1].t
		}
		free = a.stroke(s, free, next, home)
	}
	a.key(max(to, free+0.2), ready, home)
	a.stand(max(to-0.3, free), to, home, 0)
}

// swing is when the racket is farthest back, seconds before the contact.
const swing = 0.18

// stroke acts one stroke and returns from when the body is free again.
func (a *actor) stroke(s drive, free, next float64, home Vec) float64 {
	back, hit, thru := foreBack.stance(), foreHit.stance(), foreThru.stance()
	closed := 0.08
	if s.side == club.Backhand {
		back, hit, thru = backBack.stance(), backHit.stance(), backThru.stance()
		closed = -0.02
	}
	ready := readyStance.stance()
	if has(s.faults, bigSwing) {
		back = foreFar.stance()
	}
	angle := s.how.elbow
	if has(s.faults, elbow) {
		// Away from the body and up, never twice in the same place.
		angle = elbowLimit + 1 + 24*math.Pow(a.rng.Float64(), 1.3)
		back.elbow += 20 + 35*a.rng.Float64()
	}
	for _, p := range []*stance{&ready, &back, &hit, &thru} {
		taller := -s.how.crouch
		p.lean += s.how.lean
		if has(s.faults, upright) {
			taller, p.lean = taller+0.115, 6
		}
		p.hip += taller
		if p == &ready {
			p.up += taller // the hands go with the body
		}
	}
	hips := a.reach(&hit, s, closed, angle)
	thru.elbow += (hit.elbow - 20) / 2
	met := hit
	met.up, met.shift = s.at.Z/a.k, 0
	back, thru = s.how.sized(back, met), s.how.sized(thru, met)
	if wait := s.t - 0.42; wait > free+0.1 {
		// Ready, and already on the way to the ball.
		a.key(wait, ready, home.To(hips, 0.35))
		a.stand(max(free, wait-0.25), wait-0.02, home.To(hips, 0.2), 0)
	}
	a.key(s.t-s.how.before, back, home.To(hips, 0.85))
	a.meet(s.t, hit, s.at)
	a.key(s.t+s.how.after, thru, hips.To(home, 0.12))
	fwd, _ := a.axes()
	a.stand(s.t-0.15, s.t+0.16, hips.Sub(fwd.Times(s.how.weight)), closed)
	return a.comeBack(s, thru, ready, next, hips, home)
}

// reach works out the stance in which the player meets the ball with the feet and
// the elbow where they are to be, or as near to that as the arm allows without gaining
// or losing a fault, and where the hips are then. Where no feet will do, the player
// leans forward.
func (a *actor) reach(hit *stance, s drive, closed, angle float64) Vec {
	fwd, side := a.axes()
	_, soles := soles(closed)
	hips := s.at.Sub(side.Times(hit.side * a.k))
	for ; hit.lean < 60; hit.lean += 3 {
		for i := range 150 {
			feet := s.how.feet + float64((i+1)/2*(1-i%2*2))*0.005
			if feet < 0.19 || (feet < nearLimit) != (s.how.feet < nearLimit) {
				continue
			}
			hips.X, hips.Z = s.how.weight-feet-soles*a.k, 0
			hit.fwd = s.at.Sub(hips).Dot(fwd) / a.k
			got, ok := a.bendTo(hit, s.at, hips, angle)
			if ok && math.Abs(got-elbowLimit) > 0.2 && (got < elbowLimit) == (angle < elbowLimit) {
				return hips
			}
		}
	}
	panic("demo: no arm reaches this ball")
}

// bendTo turns the elbow of a stance at contact as near as it goes to an angle, which
// it returns; false where the racket does not reach the ball.
func (a *actor) bendTo(hit *stance, ball, hips Vec, angle float64) (got float64, ok bool) {
	body := &Actor{Look: a.look, Left: a.left, Near: a.near}
	at := *hit
	at.up = ball.Z / a.k
	try := func(e float64) float64 {
		at.elbow = e
		f := body.posed(a.pose(at, hips, a.heading()), hips, hips)
		ok = f.Joints[Racket].Sub(ball).Length() < 0.0005
		return f.ElbowAngle()
	}
	best := func(e, g float64) {
		if math.Abs(g-angle) < math.Abs(got-angle) {
			hit.elbow, got = e, g
		}
	}
	got = math.Inf(1)
	const low, high, step = -30.0, 150.0, 15.0
	last := try(low)
	best(low, last)
	for e := low + step; e <= high && ok; e += step {
		next := try(e)
		best(e, next)
		if (last < angle) != (next < angle) {
			// Halve what lies between.
			a, b := e-step, e
			for range 7 {
				middle := (a + b) / 2
				g := try(middle)
				best(middle, g)
				if (g < angle) == (last < angle) {
					a = middle
				} else {
					b = middle
				}
			}
		}
		last = next
	}
	return got, ok
}

// comeBack brings the hand back after a stroke: the sooner, the straighter; the later,
// the deeper the arm falls before.
func (a *actor) comeBack(s drive, thru, ready stance, next float64, hips, home Vec) float64 {
	low := ready.mix(hanging.stance(), s.how.drop)
	low.up -= low.hip
	low.hip, low.lean = (thru.hip+ready.hip)/2, (thru.lean+ready.lean)/2
	low.up += low.hip
	from := thru
	down := s.t + min(0.34, 0.14+0.55*(s.how.back-0.14))
	again := s.t + s.how.back
	last := next - untilSwing
	if s.how.drop > 0.45 {
		a.key(down, low, hips.To(home, 0.3))
		from = low
		if hold := min(again, last+0.08) - 0.11; hold > down+0.05 {
			low.up += 0.03
			a.key(hold, low, hips.To(home, 0.5))
			from = low
		}
	}
	a.stand(s.t+0.30, min(again, last)-0.06, hips.To(home, 0.5), 0)
	if again > last {
		return last // with the arm still low
	}
	a.key(again, ready.mix(from, backWithin/ready.apart(from)), hips.To(home, 0.75))
	a.key(again+0.05, ready, hips.To(home, 0.85))
	a.stand(again, again+0.05, hips.To(home, 0.85), 0)
	return again + 0.05
}

// partner acts the far strokes of a whole clip.
func (a *actor) partner(to float64, strokes []drive, home Vec) {
	wait := readyStance.stance()
	a.key(0, wait, home)
	a.stand(0, 0.1, home, 0)
	free := 0.1
	for _, s := range strokes {
		hit := blockFore.stance()
		if s.at.Y < TableWidth/2 != a.left {
			hit = blockBack.stance()
		}
		if s.feeding {
			hit = feedingHit.stance()
		}
		fwd, side := a.axes()
		hips := s.at.Sub(fwd.Times(hit.fwd * a.k)).Sub(side.Times(hit.side * a.k))
		hips.Z = 0
		back, thru := hit, hit
		back.fwd, back.up = back.fwd-0.14, s.at.Z/a.k-0.05
		thru.fwd, thru.up = thru.fwd+0.10, s.at.Z/a.k+0.10
		if s.feeding {
			// The free hand brings the ball.
			back.hf, back.hs, back.hu = 0.42, -0.10, 0.93
			if s.t-0.5 > free {
				a.key(s.t-0.5, back, hips)
			}
		} else if s.t-0.34 > free {
			a.key(s.t-0.34, wait, home.To(hips, 0.4))
		}
		a.key(max(s.t-0.13, free+0.02), back, hips)
		a.meet(s.t, hit, s.at)
		a.key(s.t+0.12, thru, hips)
		a.stand(s.t-0.16, s.t+0.14, hips, 0)
		free = s.t + 0.36
		a.key(free, wait, hips.To(home, 0.5))
	}
	a.key(max(to, free+0.2), wait, home)
	a.stand(max(to, free)+0.1, to+0.2, home, 0)
}

// walk goes from one place to another with the racket hanging.
func (a *actor) walk(from, to float64, start, end Vec, startHeading, endHeading float64) {
	way := end.Sub(start)
	heading := math.Atan2(way.Y, way.X)
	// The short way round.
	nearest := func(h float64) float64 { return h + 2*math.Pi*math.Round((heading-h)/(2*math.Pi)) }
	steps := max(2, int(math.Ceil(way.Length()/0.5)))
	step := (to - from) / float64(steps)
	pose := walking.stance()
	for i := range steps + 1 {
		s := float64(i) / float64(steps)
		swing := 0.12
		if i%2 == 0 {
			swing = -0.12
		}
		stride := pose
		stride.fwd, stride.hf = stride.fwd+swing, stride.hf-swing
		h := heading
		switch i {
		case 0:
			h = nearest(startHeading)
		case steps:
			h = nearest(endHeading)
		}
		a.keys = append(a.keys, key{from + s*(to-from), a.pose(stride, start.To(end, s), h)})
		across := Vec{-math.Sin(heading), math.Cos(heading), 0}.Times(0.11 * a.k)
		at := start.To(end, min(1, s+0.5/float64(steps)))
		if i%2 == 0 {
			a.race = append(a.race, plant{from + s*(to-from), from + s*(to-from) + step, at.X - across.X, at.Y - across.Y})
		} else {
			a.other = append(a.other, plant{from + s*(to-from), from + s*(to-from) + step, at.X + across.X, at.Y + across.Y})
		}
	}
}

// actor is the finished motion, in the picture between two times.
func (a *actor) actor(from, to float64) Actor {
	return Actor{Near: a.near, Look: a.look, Left: a.left, From: from, To: to,
		body: newTrack(a.keys), racketSideFt: tidy(a.race), freeSideFt: tidy(a.other)}
}

// tidy drops plants that begin before the one before has ended.
func tidy(plants []plant) []plant {
	var kept []plant
	for _, p := range plants {
		if n := len(kept); n > 0 && p.from <= kept[n-1].to {
			if p.to <= kept[n-1].to+0.02 {
				continue
			}
			p.from = min(kept[n-1].to+0.08, p.to)
		}
		kept = append(kept, p)
	}
	return kept
}

// home is where the hips wait in a drill: half way between the places from which
// its strokes are played.
func (a *actor) home(d club.Drill, p placing) Vec {
	_, side := a.axes()
	fore := p.fore - side.Y*foreHit.stance().side*a.k
	back := p.back - side.Y*backHit.stance().side*a.k
	y := (fore + back) / 2
	switch d.Pattern {
	case "F":
		y = fore
	case "B":
		y = back
	}
	return Vec{-0.16 - 0.52*a.k, y, 0}
}
