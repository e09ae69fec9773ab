package joined

import (
	"math"

	"strokeledger/internal/contact"
)

// learner is what is known of a clip's sounds.
type learner struct {
	before [classes]float64 // shares of each class that are strokes, as they are likely to be
	share  [classes]float64 // and as they are
	stroke sort             // how strokes sound
	rest   sort
	whole  [contact.Traits]float64 // means over all
	learnt bool
}

// sort is how sounds of one sort lie: mean and variance of each trait.
type sort struct{ mean, spread [contact.Traits]float64 }

func newLearner(all [][]heard) *learner {
	l := &learner{}
	n := 0.
	for _, turn := range all {
		for i := range turn {
			n++
			for k, v := range turn[i].x {
				l.whole[k] += (v - l.whole[k]) / n
			}
		}
	}
	return l
}

// decide gives each sound of each turn its chance, and tells the logarithm of how well
// sounds and swings fit in the turns whose player is surely the one who is seen: with
// somebody else the swings of the partner would fit the partner's sounds.
func (l *learner) decide(turns []Turn, all [][]heard) (out [][]float64, fits float64) {
	out = make([][]float64, len(all))
	for i, turn := range all {
		alone, both := make([]float64, len(turn)), make([]float64, len(turn))
		for k := range turn {
			h := &turn[k]
			alone[k] = math.Log(l.share[h.class]/(1-l.share[h.class])) + alikeWeighs*l.alike(h)
			both[k] = alone[k] + h.seen
		}
		var with float64
		out[i], with = chosen(turn, both)
		if turns[i].Sure {
			fits += with
			// Sounds that keep time are somebody's strokes, and not this player's where the
			// arm rests at most of them.
			support := 0.
			for k, p := range out[i] {
				support += p * (turn[k].seen + missed)
			}
			played := 1 / (1 + math.Exp(-plays-support))
			for k := range out[i] {
				out[i][k] *= played
			}
			continue
		}
		heardOnly, without := chosen(turn, alone)
		player := 1 / (1 + math.Exp(-(other + with - without)))
		for k := range out[i] {
			out[i][k] = player*out[i][k] + (1-player)*heardOnly[k]
		}
	}
	return out, fits
}

// alike is how much more a sound is like the strokes' than like the others', as a
// logarithm; 0 before anything is learned.
func (l *learner) alike(h *heard) (odds float64) {
	if !l.learnt {
		return 0
	}
	const against, favour = 6, 2 // of one trait at most: a stroke may drown in another sound
	for k, v := range h.x {
		one := .5 * (normal(v, l.rest.mean[k], l.rest.spread[k]) - normal(v, l.stroke.mean[k], l.stroke.spread[k]))
		odds += min(favour, max(-against, one))
	}
	return min(8, max(-12, odds))
}

// normal is twice the negative logarithm of a normal density, but for a constant.
func normal(v, mean, variance float64) float64 {
	return (v-mean)*(v-mean)/variance + math.Log(variance)
}

// learn takes shares and sounds from what was decided.
func (l *learner) learn(all [][]heard, chances [][]float64) {
	const (
		usual  = 1.1 // a trait's standard deviation among strokes of one racket, as in package contact
		known  = 6.  // strokes that this is known from
		middle = 2.  // sounds that a stroke's mean is known from
		floor  = .3  // least variance of the rest
	)
	var strokes, sounds [classes]float64
	var n, others float64
	var sum, rest [contact.Traits]float64
	each := func(f func(h *heard, p float64)) {
		for i, turn := range all {
			for k := range turn {
				f(&turn[k], chances[i][k])
			}
		}
	}
	each(func(h *heard, p float64) {
		strokes[h.class] += p
		sounds[h.class]++
		n, others = n+p, others+1-p
		for k, v := range h.x {
			sum[k], rest[k] = sum[k]+p*v, rest[k]+(1-p)*v
		}
	})
	if others == 0 {
		return
	}
	for c := range l.share {
		l.share[c] = (l.before[c]*firm + strokes[c]) / (firm + sounds[c])
	}
	for k := range sum {
		l.stroke.mean[k] = (sum[k] + middle*l.whole[k]) / (n + middle)
		l.rest.mean[k] = rest[k] / others
	}
	var wide, wideRest [contact.Traits]float64
	each(func(h *heard, p float64) {
		for k, v := range h.x {
			a, b := v-l.stroke.mean[k], v-l.rest.mean[k]
			wide[k], wideRest[k] = wide[k]+p*a*a, wideRest[k]+(1-p)*b*b
		}
	})
	for k := range wide {
		l.stroke.spread[k] = (wide[k] + known*usual*usual) / (n + known)
		l.rest.spread[k] = wideRest[k]/others + floor
	}
	l.learnt = true
}
