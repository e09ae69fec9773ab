// Package joined joins what is heard of strokes with what is seen of them. A sudden sound
// is likelier a contact of the filmed player where the racket arm swings, and hardly one
// where it rests; a swing with no sound is one without a ball. Both are log-likelihoods,
// each with a confidence of its own, and are added.
//
// What a sound is worth is learned from the clip itself: how often sounds that the
// detector of contacts called alike come with a swing, and how those sound that do. So it
// does not matter which of two sounds the detector took for the racket, or which of
// several tables it followed. Times are seconds of clip time. The package knows no files
// and no pictures.
package joined

import (
	"math"
	"slices"

	"strokeledger/internal/contact"
)

// Turn is one turn of a clip as it was looked at and listened to.
type Turn struct {
	From, To float64
	// Player is which of the two that are heard is taken for the turn's player by the
	// sound alone.
	Player contact.Who
	// Swing is how much likelier what is seen about a moment is if the player's racket
	// meets a ball then, as a natural logarithm; not known where nothing is seen.
	Swing func(seconds float64) (odds float64, known bool)
	// Sure says that whoever is seen is this player; else it may be somebody else, and
	// where swings and sounds do not fit at all, only the sound counts.
	Sure bool
}

// Stroke is a sound that may be a stroke of the turn's player.
type Stroke struct {
	Seconds float64
	Chance  float64 // that it is one, 0 to 1
}

// Least is the chance from which on a stroke is told.
const Least = .1

// Choices made on drawn clubs of seeds 401, 402 and 501, which the figures are not told of.
const (
	// apart is how far two strokes of one player are apart at least, seconds: about 90
	// balls a minute from the basket.
	apart = .65
	// sound is on its way to the camera for this long, seconds: about 3 m.
	onTheWay    = .008
	seenWeighs  = .8  // of joints: their pictures are not independent
	alikeWeighs = .25 // of how sounds are alike: their traits are not independent
	firm        = 4.  // sounds that a share of a class is known from beforehand
	other       = 3.  // logarithm of the odds that whoever is seen is the player, where not sure
	plays       = 1.  // logarithm of the odds that the player plays in a turn at all
	missed      = .5  // that joints may say against each stroke of a turn that is played
	rounds      = 12
)

// class is what the detector made of a sound, for a turn's player.
type class int

const (
	ownRacket class = iota
	partnersRacket
	ownBounce
	partnersBounce
	stray // sharp, and fits no play
	faint // not told at all
	classes
)

// before are the shares of each class that are strokes of the player, before a clip is
// known, if they are told as one of them.
func before(as class) [classes]float64 {
	const theirs, rarely = .55, .08
	share := [classes]float64{rarely, rarely, rarely, rarely, .04, .02}
	share[as] = theirs
	return share
}

// doubt is the logarithm of the odds that the strokes are told as one class rather than as
// what they are.
func doubt(as class) float64 { return [...]float64{0, -2, -2.5, -2.5}[as] }

func classOf(c contact.Contact, player contact.Who) class {
	own := c.Who == player
	switch {
	case c.Kind == contact.Racket && own:
		return ownRacket
	case c.Kind == contact.Racket:
		return partnersRacket
	case c.Kind == contact.Bounce && own:
		return ownBounce
	case c.Kind == contact.Bounce:
		return partnersBounce
	}
	return stray
}

// heard is one sound in a turn.
type heard struct {
	at    float64
	x     [contact.Traits]float64
	class class
	seen  float64 // logarithm of the odds
}

// Strokes are the likely strokes of each turn, in order of time, of the sudden sounds of a
// clip and what the detector told of them, both in order of time. No two of a turn that
// have a chance above one half are less than 0.65 s apart.
func Strokes(turns []Turn, sounds []contact.Sound, told []contact.Contact) [][]Stroke {
	all := make([][]heard, len(turns))
	of := meant(sounds, told)
	for i, t := range turns {
		first, _ := slices.BinarySearchFunc(sounds, t.From, func(s contact.Sound, at float64) int { return order(s.Seconds, at) })
		for k := first; k < len(sounds) && sounds[k].Seconds < t.To; k++ {
			h := heard{at: sounds[k].Seconds, class: faint}
			for j, v := range sounds[k].Trait {
				h.x[j] = float64(v)
			}
			if of[k] >= 0 {
				h.at, h.class = told[of[k]].Seconds, classOf(told[of[k]], t.Player)
			}
			if odds, known := t.Swing(h.at - onTheWay); known {
				h.seen = seenWeighs * odds
			}
			all[i] = append(all[i], h)
		}
	}
	l := newLearner(all)
	best := math.Inf(-1)
	for as := ownRacket; as < stray; as++ {
		l.share = before(as)
		if _, fits := l.decide(turns, all); fits+doubt(as) > best {
			best, l.before = fits+doubt(as), before(as)
		}
	}
	l.share = l.before
	var chances [][]float64
	for range rounds {
		chances, _ = l.decide(turns, all)
		l.learn(all, chances)
	}
	out := make([][]Stroke, len(turns))
	for i, p := range chances {
		for k, chance := range p {
			if chance >= Least {
				out[i] = append(out[i], Stroke{all[i][k].at, chance})
			}
		}
		slices.SortStableFunc(out[i], func(a, b Stroke) int { return order(a.Seconds, b.Seconds) })
	}
	return out
}

func order(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// meant is which of the contacts each sound was told as, -1 for none. A contact is told
// where its first sharp sound begins, which may lie a little before the sound itself.
func meant(sounds []contact.Sound, told []contact.Contact) []int {
	const same, begun = .001, .045 // seconds
	of := make([]int, len(sounds))
	for i := range of {
		of[i] = -1
	}
	k := 0
	for n, c := range told {
		for k < len(sounds) && sounds[k].Seconds < c.Seconds-same {
			k++
		}
		if k < len(sounds) && sounds[k].Seconds < c.Seconds+begun {
			of[k] = n
		}
	}
	return of
}

// chosen are the chances of sounds to be strokes, given the logarithm of the odds of each
// alone, where no two are less than apart; with the logarithm of the sum over all choices.
func chosen(all []heard, odds []float64) (chances []float64, sum float64) {
	n := len(all)
	ahead, after := make([]float64, n+1), make([]float64, n+1)
	before, next := make([]int, n), make([]int, n)
	for i, b, e := 0, 0, 0; i < n; i++ {
		for all[b].at <= all[i].at-apart {
			b++
		}
		for e < n && all[e].at < all[i].at+apart {
			e++
		}
		before[i], next[i] = b, e
		ahead[i+1] = plus(ahead[i], odds[i]+ahead[b])
	}
	chances = make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		after[i] = plus(after[i+1], odds[i]+after[next[i]])
		chances[i] = math.Exp(ahead[before[i]] + odds[i] + after[next[i]] - ahead[n])
	}
	return chances, ahead[n]
}

// plus adds what two logarithms stand for.
func plus(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}
