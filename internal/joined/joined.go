// Package joined joins what is heard of strokes with what is seen of them. A sudden sound
// is likelier a contact of the filmed player where the racket arm swings, and hardly one
// where it rests; a swing with no sound is one without a ball. Both are log-likelihoods,
// each with a confidence of its own, and are added.
//
// What a sound is worth is learned from the clip itself: how often sounds that the
// detector of contacts called alike come with a swing, how those sound that do, and how
// far they are apart. So it does not matter which of two sounds the detector took for the
// racket, or which of several tables it followed.
//
// Among many sounds some fit any swing, one without a ball too. So the same is learned
// again with the swings moved against the sounds, which then fit by chance alone: only
// where they fit better as they are has this player played. Times are seconds of clip
// time. The package knows no files and no pictures.
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
	// Sure says that whoever is seen is this player: where swings and sounds do not fit,
	// nobody played. Else it may be somebody else, and only the sound counts there.
	Sure bool
}

// Stroke is a sound that may be a stroke of the turn's player.
type Stroke struct {
	Seconds float64
	Chance  float64 // that it is one, 0 to 1
}

// Least is the chance from which on a stroke is told.
const Least = .1

// Choices made on drawn clubs of seeds 321 to 326, 601 and 602, which the figures are not
// told of.
const (
	// apart is how far two strokes of one player are apart at least, seconds: about 90
	// balls a minute from the basket.
	apart = .65
	// sound is on its way to the camera for this long, seconds: about 3 m.
	onTheWay = .008
	firm     = 4. // sounds that a share of a class is known from beforehand
	moves    = 8  // of the swings against the sounds
	// By how much better than by chance swings and sounds have to fit, as a logarithm: with
	// less, nobody played, or somebody else is seen.
	enough = 4.2
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
	x     [traits]float64
	class class
	seen  float64 // logarithm of the odds
	told  float64 // confidence that it is a stroke, by the sound alone
}

// Strokes are the likely strokes of each turn, in order of time, of the sudden sounds of a
// clip and what the detector told of them, both in order of time. No two of a turn that
// have a chance above one half are less than 0.65 s apart.
func Strokes(turns []Turn, sounds []contact.Sound, told []contact.Contact) [][]Stroke {
	all := gather(turns, sounds, told)
	mean := whole(all)
	spread := spreadOf(all, &mean)
	fit := better(turns, all, spread)
	see(turns, all, 0)
	chances, _ := learned(all, spread, closely())
	out := make([][]Stroke, len(turns))
	for i, turn := range all {
		for k := range turn {
			p := chances[i][k]
			switch {
			case turns[i].Sure:
				p /= 1 + math.Exp(enough-fit)
			case fit < enough:
				p = turn[k].told
			}
			if p >= Least {
				out[i] = append(out[i], Stroke{turn[k].at, p})
			}
		}
		slices.SortStableFunc(out[i], func(a, b Stroke) int { return order(a.Seconds, b.Seconds) })
	}
	return out
}

// better is by how much swings and sounds fit better than swings that are moved, as a
// logarithm, over all turns.
func better(turns []Turn, all [][]heard, spread *spread) (by float64) {
	see(turns, all, 0)
	_, as := learned(all, spread, loosely())
	for n := range moves {
		see(turns, all, (float64(n)+1.15)/(moves+1))
		_, moved := learned(all, spread, loosely())
		by += (as - moved) / moves
	}
	return by
}

// gather is what is heard in each turn.
func gather(turns []Turn, sounds []contact.Sound, told []contact.Contact) [][]heard {
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
				c := told[of[k]]
				if h.at, h.class = c.Seconds, classOf(c, t.Player); h.class == ownRacket {
					h.told = c.Confidence
				}
			}
			all[i] = append(all[i], h)
		}
	}
	return all
}

// see says of every sound what is seen about it, where the swings of each turn are moved
// by a part of the turn; those that leave it come in at its beginning.
func see(turns []Turn, all [][]heard, moved float64) {
	for i, t := range turns {
		long := t.To - t.From
		for k := range all[i] {
			h := &all[i][k]
			h.seen = 0
			if odds, known := t.Swing(t.From + math.Mod(h.at-onTheWay-t.From+moved*long, long)); known {
				h.seen = odds
			}
		}
	}
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

// plus adds what two logarithms stand for.
func plus(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}
