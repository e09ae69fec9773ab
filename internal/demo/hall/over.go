package hall

import (
	"math/rand/v2"

	"strokeledger/internal/contact"
)

// SpeechThroughout is a coach who talks all the time, over the play as well.
const SpeechThroughout Condition = "speech all the time"

// Over records a condition of a wide hall in which at the filmed table is played what is
// given: contacts in order of time, at which their sound arrives; those of the kind Other
// are a net or a floor. How hard each is struck is drawn, as the hall is.
func Over(c Condition, seed int64, played []contact.Contact, seconds float64, rate int) Recording {
	var w wide
	h := &hall{rng: rand.New(rand.NewPCG(uint64(seed), 0x6f766572)), rate: float64(rate)}
	if c == SpeechThroughout {
		w = wide{any: true, talked: true}
	} else {
		w, _ = widely(c)
	}
	own := h.anyTable(h.octaves(w))
	var plays []strikes
	for _, p := range played {
		one := strikes{p.Seconds, racket, p.Who == contact.Near, h.between(.65, 1.35)}
		switch p.Kind {
		case contact.Bounce:
			one.what = bounce
		case contact.Other:
			one.what, one.force = floor, h.between(.5, .9)
			if h.rng.Float64() < .5 {
				one.what = net
			}
		}
		plays = append(plays, one)
	}
	return h.recordWide(w, own, plays, seconds)
}
