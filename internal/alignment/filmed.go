package alignment

import (
	"cmp"
	"math"
	"slices"
)

// In a hall both hear several tables, each with its own way to the two microphones. Which
// of them is filmed shows in what follows what: the ball goes from a racket to the other
// half of the table, to the racket behind it, and back. So the sounds of one table come in
// an order of places, and each place is late by its own way. Between different tables, or a
// table and what else sounds, there is no order: one comes after the other as often as
// before it. Where the table lies across the way from one microphone to the other, its
// places are equally late and nothing shows; loudness then has to say it.

// source is a sound that both heard.
type source struct {
	at     float64 // seconds
	late   float64 // by how much more than the line the first heard it later, seconds
	loud   float64 // decibels, of both together
	weight float64
}

// Sounds by how late they are, up to reach either way.
const (
	bin  = .0005 // seconds
	bins = 2 * 40
)

// places are where a table sounds on either side of its middle, metres: the half, 1.37 m
// long, on which balls land, and the racket behind its end. Common practice, no source.
func places() [2]struct{ from, spread float64 } {
	return [2]struct{ from, spread float64 }{{.75, .3}, {2, .25}}
}

// loudness is that of the hundredths of a second in which a sound begins, decibels.
func (s Sound) loudness(at float64) float64 {
	top := quietest
	k := max(0, int(at*PeaksPerSecond))
	for i := k; i <= k+1 && i < len(s.Peaks); i++ {
		top = max(top, float64(s.Peaks[i]))
	}
	return 20 * math.Log10(top)
}

// filmed is by how much more than the line the first recording is late where the filmed
// table sounds, and within what the sounds leave that open, seconds.
func (l line) filmed(first, second Sound) (late, open float64) {
	all := make([]source, len(l.pairs))
	for i, p := range l.pairs {
		all[i] = source{at: p.first, late: l.off(p), loud: first.loudness(p.first) + second.loudness(p.second)}
	}
	weigh(all)
	if late, open, ok := inOrder(all); ok {
		return late, open
	}
	early, middle, latest := quantile(all, .05), quantile(all, .5), quantile(all, .95)
	// No order shows: what both detectors take for play at their table says it, where that
	// is much.
	const enough = 40
	var play []source
	for i, p := range l.pairs {
		if first.plays(p.first) && second.plays(p.second) {
			play = append(play, all[i])
		}
	}
	if len(play) >= enough {
		for i := range play {
			play[i].weight = 1
		}
		middle = quantile(play, .5)
	}
	return middle, max(middle-early, latest-middle)
}

// plays says whether a moment is taken for play.
func (s Sound) plays(at float64) bool {
	i, found := slices.BinarySearch(s.Moments, at)
	return found && i < len(s.Play) && s.Play[i]
}

// weigh lets sounds count more that both hear loudly, as a table that both cameras film, and
// less the earlier or later they are than most, as what stands behind one of the cameras.
// Chosen on the tuning halls.
func weigh(all []source) {
	const perDecibel, perSecond, most = .1, 50, 20
	louds := make([]float64, len(all))
	for i := range all {
		louds[i], all[i].weight = all[i].loud, 1
	}
	slices.Sort(louds)
	usual, midst := louds[len(louds)/2], (quantile(all, .02)+quantile(all, .98))/2
	for i := range all {
		s := &all[i]
		s.weight = math.Exp(perDecibel*max(-most, min(most, s.loud-usual)) - perSecond*math.Abs(s.late-midst))
	}
}

// quantile is how late, at most, a share of the weight is.
func quantile(all []source, share float64) float64 {
	sorted := slices.SortedFunc(slices.Values(all), func(a, b source) int { return cmp.Compare(a.late, b.late) })
	sum, part := 0.0, 0.0
	for _, s := range sorted {
		sum += s.weight
	}
	for _, s := range sorted {
		if part += s.weight; part >= share*sum {
			return s.late
		}
	}
	return 0
}

// inOrder is how late the table is whose sounds come most in the order of play, and within
// what that is open; false where none clearly does. Chosen on the tuning halls.
func inOrder(all []source) (late, open float64, ok bool) {
	const (
		beyond, clearer, sure = .8, 1.3, 2 // what chance may do; times a rival
		apart, usual          = .005, .002 // seconds; 19 of 20 sure ones were usual
		gentlest, steepest    = .003, 2 * SoundPerMetre
		finer                 = .0004
	)
	order, chance := follow(all)
	at := func(k int) float64 { return float64(k-bins/2) * bin }
	scores := make([]float64, bins+1)
	best := 0
	for k := range scores {
		for slope := gentlest; slope <= steepest; slope += finer {
			scores[k] = max(scores[k], order.score(at(k), slope))
		}
		if scores[k] > scores[best] {
			best = k
		}
	}
	rival := 0.0
	open = usual
	for k, s := range scores {
		if away := math.Abs(at(k) - at(best)); away > apart {
			rival = max(rival, s)
			if s*sure > scores[best] {
				open = max(open, away)
			}
		}
	}
	return at(best), open, scores[best] > beyond*chance && scores[best] > clearer*rival
}

// follows counts how often a sound that is so late comes before one that is so late, less
// how often it comes after it.
type follows [bins][bins]float64

// follow counts what follows each sound within the time in which a contact or the next one
// comes; chance is by how much all of it would differ from 0 if there were no order. Rackets
// come 0.64 s apart in matches (elite women, IJPAS 2022 22(1):174-182).
func follow(all []source) (f *follows, chance float64) {
	const soonest, latest = .06, .6 // seconds
	f = new(follows)
	for i, a := range all {
		for _, b := range all[i+1:] {
			after := b.at - a.at
			if after > latest {
				break
			}
			if after < soonest {
				continue
			}
			v := a.weight * b.weight
			chance += v * v
			j, k := binOf(a.late), binOf(b.late)
			f[j][k] += v
			f[k][j] -= v
		}
	}
	return f, math.Sqrt(chance)
}

func binOf(late float64) int { return max(0, min(bins-1, int(math.Floor(late/bin))+bins/2)) }

// score is how much comes in the order of play at a table that is so late, and whose sounds
// are later by slope seconds for each metre along it. It is that of the half in which less
// does: half of a table that lies elsewhere is none.
func (f *follows) score(late, slope float64) float64 {
	var sounds [2][2]bell // by side and place
	for side, sign := range []float64{-1, 1} {
		for i, p := range places() {
			sounds[side][i] = bellAt(late+sign*slope*p.from, slope*p.spread)
		}
	}
	least := math.Inf(1)
	for side, here := range sounds {
		racket, half, there := here[1], here[0], sounds[1-side][1]
		least = min(least, f.then(there, half)+f.then(half, racket))
	}
	return 2 * max(0, least)
}

// then is how often what lies in one bell comes before what lies in another.
func (f *follows) then(a, b bell) (sum float64) {
	for k, v := range a.share {
		part := 0.0
		for n, w := range b.share {
			part += w * f[a.from+k][b.from+n]
		}
		sum += v * part
	}
	return sum
}

// bell says how much of the sounds in each bin, from one on, is taken for those of a place.
type bell struct {
	from  int
	share []float64
}

// bellAt is round so many seconds late, which its place spreads along the table; and a table is
// wide.
func bellAt(middle, along float64) bell {
	const across, far = .001, 3.5
	spread := math.Hypot(along, across)
	b := bell{from: binOf(middle - far*spread)}
	for k := b.from; k <= binOf(middle+far*spread); k++ {
		u := ((float64(k-bins/2)+.5)*bin - middle) / spread
		b.share = append(b.share, math.Exp(-u*u/2))
	}
	return b
}
