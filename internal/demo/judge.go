package demo

import (
	"math/rand/v2"

	"strokeledger/internal/club"
)

// Judge invents a club to try measuring on: that of Make, but with bodies, hands,
// habits and clothes that the seed draws, and each clip filmed from a place and with
// troubles that it draws. What was tuned on the clubs of Make has not seen these.
func Judge(seed int64) Club {
	ms, sessions := judged(seed)
	return invent(seed, ms, sessions)
}

func judged(seed int64) ([]member, []plannedSession) {
	rng := rand.New(rand.NewPCG(uint64(seed), 0x6a75646765))
	ms := members()
	for i := range ms {
		m := &ms[i]
		m.look.Height = 1.46 + 0.4*rng.Float64()
		m.look.Shirt, m.look.Trim, m.look.Short, m.look.Shoes = drawn(rng, 40, 250), drawn(rng, 20, 250), drawn(rng, 15, 110), drawn(rng, 30, 250)
		m.look.Cloth, m.look.Number = Cloth(rng.IntN(int(Flecks)+1)), rng.IntN(10)
		m.custom = custom{stands: 0.50 + 0.18*rng.Float64(), elbow: 16 + 12*rng.Float64()}
		m.player.Hand = club.RightHand
		if rng.Float64() < 0.35 {
			m.player.Hand = club.LeftHand
		}
	}
	sessions := programme()
	for i := range sessions {
		for k := range sessions[i].clip {
			sessions[i].clip[k].view = drawnView(rng)
		}
	}
	return ms, sessions
}

func drawn(rng *rand.Rand, low, high int) (c RGB) {
	for i := range c {
		c[i] = uint8(low + rng.IntN(high-low))
	}
	return c
}

func drawnView(rng *rand.Rand) view {
	chance := func(p float64) bool { return rng.Float64() < p }
	return view{place: place(rng.IntN(int(fromLow) + 1)), wide: chance(0.2), knocked: chance(0.2), sunk: chance(0.25),
		passer: chance(0.3), crosses: chance(0.2), edge: chance(0.15), coarse: chance(0.4)}
}

// Measured reports whether a picture lies where a stroke is measured: round a contact,
// from three to six tenths of the way to the player's next stroke, and of the rest of the
// way back every second one.
func (s *Scene) Measured(frame int) bool {
	t := s.Seconds(frame)
	for i := range s.acts {
		a := &s.acts[i]
		for n, d := range a.strokes {
			after, room := t-d.t, a.room(n)
			if after > -0.16 && after < 0.10 || after > 0.3*room && after < 0.6*room || frame%2 == 0 && after > 0 && after < room-0.2 {
				return true
			}
		}
	}
	return false
}
