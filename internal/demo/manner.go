package demo

import (
	"math"
	"math/rand/v2"

	"strokeledger/internal/club"
)

// Beyond these a stroke has the fault, short of them it has not: the acted strokes
// lie close together on both sides, as they do in a hall. Chosen for the demo, no
// source.
const (
	nearLimit  = 0.45 // metres from the middle of the soles to the end line
	elbowLimit = 40.0 // degrees between the upper arm and straight down
	lateLimit  = 0.43 // of the time to the next stroke, where no partner plays the ball back
)

// So close to its limit a stroke is in the grey zone, where coaches differ.
const (
	nearGrey  = 0.05
	elbowGrey = 6.0
	lateGrey  = 0.06
)

// soundDelay is how long after the limit, at least, a late hand comes back, seconds: the
// sound of the partner's contact is on its way to the camera for less.
const soundDelay = 0.02

// untilSwing is how long before the next contact a hand may still come back, seconds:
// after that the racket swings back for it.
const untilSwing = swing + 0.10

// earliest is how soon after a stroke a hand can be back, seconds.
const earliest = 0.24

// manner is how a stroke is played, whatever its faults.
type manner struct {
	feet   float64 // metres from the middle of the soles to the end line at contact
	elbow  float64 // degrees; where the elbow is at fault, the actor chooses
	back   float64 // when the hand is back in the ready place, seconds after the contact
	drop   float64 // how far the arm falls before: 0 not at all, 1 it hangs
	lean   float64 // degrees more than the stance
	crouch float64 // metres lower, for a body of 1.65 m
	weight float64 // metres that the hips are ahead of the feet
	swinging
}

// custom is what one player does that is no fault.
type custom struct {
	stands float64 // usual distance of the feet, metres
	elbow  float64 // usual elbow, degrees
}

// manners draws how the strokes of a clip are played. Its chance is its own, so that
// nothing else of the club depends on it.
func (m *maker) manners(s *Scene) {
	rng := rand.New(rand.NewPCG(s.Seed, 0x6d616e6e6572))
	for i := range s.acts {
		a := &s.acts[i]
		c := m.members[a.member].custom
		for n := range a.strokes {
			d := &a.strokes[n]
			limit, gap := s.latest(a, n), a.room(n)
			inTime := min(limit-0.005, a.gap(n)-untilSwing)
			h := manner{
				feet:   normal(rng, c.stands, 0.065, nearLimit+0.003, 0.78),
				elbow:  normal(rng, c.elbow, 9, 5, elbowLimit-1),
				back:   normal(rng, (earliest+limit)/2, (limit-earliest)/4, earliest, inTime),
				lean:   normal(rng, 0, 2, -4, 4),
				crouch: normal(rng, 0, 0.008, -0.016, 0.016),
				weight: normal(rng, 0, 0.015, -0.03, 0.03), swinging: usualSwing(),
			}
			h.drop = 0.8 * rng.Float64() * (h.back - earliest) / (limit - earliest)
			if has(d.faults, tooNear) {
				h.feet = nearLimit - 0.003 - 0.245*math.Pow(rng.Float64(), 1.3)
			}
			if has(d.faults, late) {
				h.back = limit + soundDelay + (1.1*gap-limit-soundDelay)*math.Pow(rng.Float64(), 2)
				h.drop = 0.7 + 0.3*rng.Float64()
			}
			d.how = h
		}
	}
}

// normal draws from a normal distribution, between two bounds.
func normal(rng *rand.Rand, mean, sd, low, high float64) float64 {
	for range 20 {
		if v := mean + sd*rng.NormFloat64(); v > low && v < high {
			return v
		}
	}
	return low + (high-low)*rng.Float64()
}

// latest is how long after the n-th stroke of a turn the hand may come back without
// being late: until the partner plays the ball back; where balls are fed, or nothing
// comes back, for lateLimit of the time to the next stroke.
func (s *Scene) latest(a *act, n int) float64 {
	if c, ok := s.answer(a, n); ok && a.drill.Ball != club.Multiball {
		return c.Seconds - a.strokes[n].t
	}
	return lateLimit * a.room(n)
}

// room is the time from the n-th stroke of a turn to the next, or to when the next
// would have been.
func (a *act) room(n int) float64 {
	const longest = 1.3 // seconds: after more another rally begins
	return min(longest, a.gap(n))
}
