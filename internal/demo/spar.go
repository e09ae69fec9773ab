package demo

import (
	"math/rand/v2"
	"slices"
	"sort"
)

// Spar invents a club to try on what is told by a swing: that of [Judge], but the near
// players swing fully or hardly at all, slowly or fast, and now and then without a ball
// while none is in play. In the first clip of every session nobody plays a ball: the
// player stands there, and practises swings.
func Spar(seed int64) Club {
	ms, sessions := judged(seed)
	for i := range sessions {
		for k := range sessions[i].clip {
			sessions[i].clip[k].sparring, sessions[i].clip[k].idle = true, k == 0
		}
	}
	return invent(seed, ms, sessions)
}

// swinging is how large and how fast a stroke is swung.
type swinging struct {
	size   float64 // of the swing, 1 is the stance's
	before float64 // from the farthest back to the contact, seconds
	after  float64 // from the contact to the end of the follow-through, seconds
}

func usualSwing() swinging { return swinging{1, swing, 0.14} }

// sized is a stance as far from the one at contact as the swing is large.
func (w swinging) sized(s, hit stance) stance {
	if w.size == 1 {
		return s
	}
	return hit.mix(s, w.size)
}

// swings draws how the strokes of a clip are swung, and swings without a ball.
func (s *Scene) swings() {
	rng := rand.New(rand.NewPCG(s.Seed, 0x73706172))
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	for i := range s.acts {
		a := &s.acts[i]
		usual := swinging{between(0.3, 1), between(0.13, 0.26), between(0.1, 0.22)}
		for n := range a.strokes {
			a.strokes[n].how.swinging = swinging{min(1.1, max(0.2, usual.size+0.12*rng.NormFloat64())),
				usual.before + between(-0.02, 0.02), usual.after + between(-0.02, 0.02)}
		}
		const apart = 0.75 // seconds between a swing without a ball and a stroke
		for n, d := range a.strokes {
			end := d.t + 2
			if n+1 < len(a.strokes) {
				end = a.strokes[n+1].t
			}
			if n+1 < len(a.strokes) && end-d.t > 2*apart && rng.Float64() < 0.5 {
				d.t, d.faults = between(d.t+apart, end-apart), nil
				a.without = append(a.without, d)
			}
		}
	}
}

// idle takes the ball out of a clip: what would have been strokes are now and then
// swings without one.
func (s *Scene) idle() {
	rng := rand.New(rand.NewPCG(s.Seed, 0x69646c65))
	s.Balls, s.Contacts = nil, nil
	for i := range s.acts {
		a := &s.acts[i]
		a.without = nil
		for _, d := range a.strokes {
			if rng.Float64() < 0.3 {
				d.faults = nil
				a.without = append(a.without, d)
			}
		}
		a.strokes = nil
	}
}

// swung are the strokes of a turn with the swings without a ball, in order of time.
func (a *act) swung() []drive {
	all := append(slices.Clone(a.strokes), a.without...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].t < all[j].t })
	return all
}
