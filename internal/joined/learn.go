package joined

import "math"

// way is how a clip is learned.
type way struct {
	alikeWeighs float64 // of how sounds are alike: their traits are not independent
	rhythmic    float64 // share of strokes that follow the one before in the player's rhythm
	rounds      int     // of expectation and maximisation
}

// closely tells strokes best; loosely tells best whether there are any, since what is
// learned closely fits by chance, too.
func closely() way { return way{.6, .8, 12} }
func loosely() way { return way{.1, 0, 6} }

// learner is what is known of a clip's sounds.
type learner struct {
	way
	before [classes]float64 // shares of each class that are strokes, as they are likely to be
	share  [classes]float64 // and as they are
	whole  [traits]float64  // mean of all sounds
	spread *spread
	part   parting
	pace   []pace  // of each turn
	gaps   []total // between strokes, as decided last
}

// learned are the chances of all sounds to be strokes, and the logarithm of how much
// better sounds and swings fit with strokes than without any, by the class that strokes
// are told as which fits best in the end.
func learned(all [][]heard, c *spread, w way) (chances [][]float64, fits float64) {
	fits = math.Inf(-1)
	for as := ownRacket; as < stray; as++ {
		l := newLearner(all, c, w, before(as))
		var now [][]float64
		var fit float64
		for range w.rounds {
			now, fit = l.decide(all)
			l.learn(all, now)
		}
		for _, turn := range all {
			for k := range turn {
				fit += math.Log(1 - l.share[turn[k].class])
			}
		}
		if fit += doubt(as); fit > fits {
			chances, fits = now, fit
		}
	}
	return chances, fits
}

func newLearner(all [][]heard, c *spread, w way, before [classes]float64) *learner {
	l := &learner{way: w, before: before, share: before, spread: c, whole: whole(all), pace: make([]pace, len(all)), gaps: make([]total, len(all))}
	for i := range all {
		l.pace[i] = usualPace()
	}
	return l
}

// whole is the mean of all sounds.
func whole(all [][]heard) (mean [traits]float64) {
	n := 0.
	for _, turn := range all {
		for i := range turn {
			n++
			for k, v := range turn[i].x {
				mean[k] += (v - mean[k]) / n
			}
		}
	}
	return mean
}

// decide gives each sound of each turn its chance, and tells the logarithm of how well
// sounds and swings fit.
func (l *learner) decide(all [][]heard) (out [][]float64, fits float64) {
	out = make([][]float64, len(all))
	for i, turn := range all {
		odds := make([]float64, len(turn))
		for k := range turn {
			h := &turn[k]
			odds[k] = math.Log(l.share[h.class]/(1-l.share[h.class])) + l.alikeWeighs*l.part.odds(&h.x) + h.seen
		}
		var fit float64
		out[i], fit, l.gaps[i] = series{turn, odds, l.pace[i], l.rhythmic}.chances()
		fits += fit
	}
	return out, fits
}

// learn takes shares, sounds and pace from what was decided.
func (l *learner) learn(all [][]heard, chances [][]float64) {
	const middle = 2. // sounds that a stroke's mean is known from
	var struck, sounds [classes]float64
	var n, others float64
	var stroke, rest [traits]float64
	for i, turn := range all {
		l.pace[i] = l.gaps[i].pace()
		for k := range turn {
			h, p := &turn[k], chances[i][k]
			struck[h.class] += p
			sounds[h.class]++
			n, others = n+p, others+1-p
			for k, v := range h.x {
				stroke[k], rest[k] = stroke[k]+p*v, rest[k]+(1-p)*v
			}
		}
	}
	if others == 0 {
		return
	}
	for c := range l.share {
		l.share[c] = (l.before[c]*firm + struck[c]) / (firm + sounds[c])
	}
	for k := range stroke {
		stroke[k] = (stroke[k] + middle*l.whole[k]) / (n + middle)
		rest[k] /= others
	}
	l.part = l.spread.between(&stroke, &rest, n/(n+others))
}
