package demo

import (
	"math/rand/v2"

	"strokeledger/internal/club"
)

// recovered is when the player's hand is back in the ready place after the n-th
// stroke of a turn, and whether that is before the next stroke.
func (s *Scene) recovered(a *act, n int) (seconds float64, ok bool) {
	d := a.strokes[n]
	return d.t + d.how.back, d.how.back <= a.gap(n)-untilSwing
}

// gap is the time from the n-th stroke of a turn to the next.
func (a *act) gap(n int) float64 {
	if n+1 < len(a.strokes) {
		return a.strokes[n+1].t - a.strokes[n].t
	}
	return lastGap
}

// answer is the partner's next contact after the n-th stroke of a turn, and whether
// there is one before the player strikes again.
func (s *Scene) answer(a *act, n int) (Contact, bool) {
	const longest = 1.5 // seconds: later it begins another rally
	d := a.strokes[n]
	for _, k := range s.Contacts {
		if k.Seconds > d.t && k.Kind == OnRacket {
			return k, k.Who == Far && k.Seconds < d.t+longest && !d.missed
		}
	}
	return Contact{}, false
}

// answered is when that contact is heard.
func (s *Scene) answered(a *act, n int) (seconds float64, ok bool) {
	k, ok := s.answer(a, n)
	if !ok {
		return 0, false
	}
	return s.SoundArrives(k), true
}

// watchReady notes, in turns against a partner who plays the ball back, when the
// player was back in the ready position, as a coach would: now and then a
// picture off. Its chance is its own, so that nothing else of the club depends on
// it.
func (m *maker) watchReady(s *Scene) {
	rng := rand.New(rand.NewPCG(s.Seed, 0x7265616479))
	next := 0
	for i := range s.acts {
		a := &s.acts[i]
		if a.unheard {
			continue
		}
		for n := range a.strokes {
			stroke := &s.Strokes[next]
			next++
			at, back := s.recovered(a, n)
			answer, played := s.answered(a, n)
			if a.drill.Ball == club.Multiball || !back || !played {
				continue
			}
			frame := s.Frame(at)
			if rng.Float64() < slipFrame {
				m.club.Slips = append(m.club.Slips, slip{Kind: "ready", ClipID: s.ClipID, Stroke: stroke.ID, Frame: frame, At: frame + 1})
				frame++
			}
			answer = round(answer, 3)
			stroke.Ready, stroke.Answer = &club.Moment{Frame: frame, Ticks: s.Ticks(frame)}, &answer
		}
	}
}
