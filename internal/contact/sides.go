package contact

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// heard is a contact that was found while the two sides were still one.
type heard struct {
	*candidate
	racket bool
	side   int // within its play: the first contact's side is 0
	lean   float64
}

// part gives the model's sounds their two sides. Who is who cannot be told from
// one contact, but within a play the sides follow from the order; so each play
// is as it is or the other way round. The direction of features in which
// consecutive strikes (which are by different players) differ most tells the
// plays' senses apart. Which side comes out as 0 is chance. It returns whether
// there was enough to go by.
func (m *model) part(cs []candidate, beliefs []belief) bool {
	plays := playsOf(cs, beliefs)
	if m.lean(plays, true) < fewest || m.lean(plays, false) < fewest {
		return false
	}
	// The two kinds' leanings have signs of their own: a bounce before a strike
	// lies on the striker's side.
	agree := 0.0
	for _, p := range plays {
		for i := 1; i < len(p); i++ {
			if p[i].racket && !p[i-1].racket {
				agree += p[i].lean * p[i-1].lean
			}
		}
	}
	var t tallies
	for _, p := range plays {
		vote := 0.0
		for i := range p {
			if !p[i].racket && agree < 0 {
				p[i].lean = -p[i].lean
			}
			vote += p[i].lean * float64(1-2*p[i].side)
		}
		for _, h := range p {
			s := state(h.side)
			if vote < 0 {
				s ^= 1
			}
			if !h.racket {
				s += bounce0
			}
			_, clear := m.sound(int(s), &h.x)
			t.sounds[s].add(&h.x, clear)
		}
	}
	m.learnSounds(&t, racket0)
	m.learnSounds(&t, bounce0)
	m.spoil()
	return true
}

// fewest is the number of pairs of consecutive strikes that show a difference.
const fewest = 3

// louder is the side that is heard louder, its racket and the bounces on its half.
func (m *model) louder() int {
	sum := 0.0
	for b := range levels {
		sum += m.sounds[racket1].mean[b] - m.sounds[racket0].mean[b]
		sum += m.sounds[bounce1].mean[b] - m.sounds[bounce0].mean[b]
	}
	if sum > 0 {
		return 1
	}
	return 0
}

// playsOf cuts what was found into plays and follows the ball through each.
func playsOf(cs []candidate, beliefs []belief) [][]heard {
	const pause = .7 // seconds: a missing contact is in between at most
	var plays [][]heard
	var play []heard
	for i := range cs {
		b := &beliefs[i]
		if b.contact() < .5 {
			continue
		}
		h := heard{candidate: &cs[i], racket: b.racket() > b.contact()/2}
		if len(play) > 0 && h.at-play[len(play)-1].at > pause {
			plays = append(plays, play)
			play = nil
		}
		play = append(play, h)
	}
	if len(play) > 0 {
		plays = append(plays, play)
	}
	for _, p := range plays {
		for i := 1; i < len(p); i++ {
			last := p[i-1]
			own := p[i].racket && !last.racket // struck where it bounced
			if !p[i].racket && last.racket && i+1 < len(p) && !p[i+1].racket && p[i].at-last.at < .2 {
				own = true // a serve's first bounce
			}
			p[i].side = last.side
			if !own {
				p[i].side = 1 - last.side
			}
		}
	}
	return plays
}

// lean sets how far each contact of one kind leans along the principal axis of
// the differences between consecutive ones of its kind, in units of the spread,
// and returns how many such pairs there are.
func (m *model) lean(plays [][]heard, racket bool) int {
	g := &m.sounds[bounce0]
	if racket {
		g = &m.sounds[racket0]
	}
	scatter := mat.NewSymDense(features, nil)
	n := 0
	for _, p := range plays {
		var last *heard
		for i := range p {
			h := &p[i]
			if h.racket != racket {
				continue
			}
			if last != nil && last.side != h.side {
				a, b := g.units(&last.x), g.units(&h.x)
				for i := range features {
					for j := range i + 1 {
						scatter.SetSym(i, j, scatter.At(i, j)+(b[i]-a[i])*(b[j]-a[j]))
					}
				}
				n++
			}
			last = h
		}
	}
	var eig mat.EigenSym
	if n < fewest || !eig.Factorize(scatter, true) {
		return 0
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	for _, p := range plays {
		for i := range p {
			if p[i].racket == racket {
				u := g.units(&p[i].x)
				for k := range u {
					// One spoilt feature must not decide for a play.
					p[i].lean += vectors.At(k, features-1) * math.Tanh(u[k]/2) * 2
				}
			}
		}
	}
	return n
}
