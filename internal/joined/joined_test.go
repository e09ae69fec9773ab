package joined_test

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/contact"
	"strokeledger/internal/joined"
)

// hall is a drawn turn: strokes of the player among sounds of other tables, each of which
// the detector has told as something.
type hall struct {
	strokes []float64
	sounds  []contact.Sound
	told    []contact.Contact
}

// drawn draws a turn of a minute with a stroke every 1.1 to 1.5 s, told as one thing, and
// twice as many sounds of each of three other things that are told as others.
func drawn(seed uint64, as contact.Contact) (h hall) {
	rng := rand.New(rand.NewPCG(seed, 1))
	kinds := []contact.Contact{{Kind: contact.Racket, Who: contact.Near}, {Kind: contact.Racket, Who: contact.Far},
		{Kind: contact.Bounce, Who: contact.Near}, {Kind: contact.Bounce, Who: contact.Far}}
	voices := make([][contact.Traits]float64, 4)
	for i := range voices {
		for k := range voices[i] {
			voices[i][k] = -5 + 2*rng.NormFloat64()
		}
	}
	add := func(at float64, voice int, c contact.Contact) {
		s := contact.Sound{Seconds: at}
		for k := range s.Trait {
			s.Trait[k] = float32(voices[voice][k] + rng.NormFloat64())
		}
		c.Seconds, c.Confidence = at, .5
		h.sounds, h.told = append(h.sounds, s), append(h.told, c)
	}
	for t := 1.; t < 59; t += 1.1 + .4*rng.Float64() {
		h.strokes = append(h.strokes, t)
		add(t, 0, as)
	}
	voice := 1
	for _, c := range kinds {
		if c.Kind == as.Kind && c.Who == as.Who {
			continue
		}
		for range 2 * len(h.strokes) {
			at := 60 * rng.Float64()
			near := math.Inf(1)
			for _, s := range h.strokes {
				near = min(near, math.Abs(s-at))
			}
			if near > .03 { // else nobody could tell them apart by time
				add(at, voice, c)
			}
		}
		voice++
	}
	sort.Slice(h.sounds, func(i, j int) bool { return h.sounds[i].Seconds < h.sounds[j].Seconds })
	sort.Slice(h.told, func(i, j int) bool { return h.told[i].Seconds < h.told[j].Seconds })
	return h
}

// swings is what somebody who sees the moments swings about them may say: 2.5 for one in
// which the arm swings, -2 for another, give or take 1.
func swings(moments []float64, seed uint64) func(float64) (float64, bool) {
	rng := rand.New(rand.NewPCG(seed, 2))
	return func(at float64) (float64, bool) {
		odds := -2.
		for _, m := range moments {
			if math.Abs(m-at) < .08 {
				odds = 2.5
			}
		}
		return odds + rng.NormFloat64(), true
	}
}

func nothing(float64) (float64, bool) { return 0, false }

// measured is how many of the strokes are told, and how many are told that are none.
func (h hall) measured(found []joined.Stroke) (hits, wrong int) {
	for _, f := range found {
		if f.Chance < .5 {
			continue
		}
		near := math.Inf(1)
		for _, s := range h.strokes {
			near = min(near, math.Abs(s-f.Seconds))
		}
		if near < .02 {
			hits++
		} else {
			wrong++
		}
	}
	return hits, wrong
}

// Among other tables those sounds are strokes that come with a swing, whatever the
// detector took them for.
func TestStrokesAreSoundsWithASwing(t *testing.T) {
	for _, as := range []contact.Contact{{Kind: contact.Racket, Who: contact.Near}, {Kind: contact.Racket, Who: contact.Far}, {Kind: contact.Bounce, Who: contact.Far}} {
		h := drawn(7, as)
		turn := joined.Turn{From: 0, To: 60, Player: contact.Near, Swing: swings(h.strokes, 7), Sure: true}
		hits, wrong := h.measured(joined.Strokes([]joined.Turn{turn}, h.sounds, h.told)[0])
		require.GreaterOrEqual(t, hits, len(h.strokes)*95/100, "%+v", as)
		require.LessOrEqual(t, wrong, 2, "%+v", as)
	}
}

// A swing is no stroke where nothing sounds, and a sound is none where the arm rests.
func TestNeitherAloneIsAStroke(t *testing.T) {
	h := drawn(8, contact.Contact{Kind: contact.Racket, Who: contact.Near})
	turn := joined.Turn{From: 0, To: 60, Player: contact.Near, Swing: swings(h.strokes, 8), Sure: true}
	require.Empty(t, joined.Strokes([]joined.Turn{turn}, nil, nil)[0])
	turn.Swing = swings(nil, 8)
	hits, wrong := h.measured(joined.Strokes([]joined.Turn{turn}, h.sounds, h.told)[0])
	require.LessOrEqual(t, hits+wrong, 1, "in a minute of other tables")
}

// Swings without a ball beside tables at which others play are no strokes, though at most
// of them something sounds.
func TestSwingsWithoutABall(t *testing.T) {
	told := 0
	for seed := range uint64(8) {
		h := drawn(20+seed, contact.Contact{Kind: contact.Racket, Who: contact.Near})
		var practised []float64
		for at := 1.4; at < 59; at += 3.1 {
			practised = append(practised, at)
		}
		turn := joined.Turn{From: 0, To: 60, Player: contact.Near, Swing: swings(practised, seed), Sure: true}
		hits, wrong := h.measured(joined.Strokes([]joined.Turn{turn}, h.sounds, h.told)[0])
		told += hits + wrong
	}
	require.LessOrEqual(t, told, 8, "in eight minutes")
}

// Where nothing is seen, what the detector told stays; where somebody else may be seen
// whose swings fit no sound at all, likewise.
func TestOnlyTheSoundCountsWhereNothingFits(t *testing.T) {
	h := drawn(9, contact.Contact{Kind: contact.Racket, Who: contact.Near})
	for _, swing := range []func(float64) (float64, bool){nothing, swings(nil, 9)} {
		turn := joined.Turn{From: 0, To: 60, Player: contact.Near, Swing: swing}
		hits, wrong := h.measured(joined.Strokes([]joined.Turn{turn}, h.sounds, h.told)[0])
		require.GreaterOrEqual(t, hits, len(h.strokes)*95/100)
		require.LessOrEqual(t, wrong, 2)
	}
}

// Nobody plays twice within two thirds of a second, and every answer lies in its turn.
func TestStrokesAreApart(t *testing.T) {
	h := drawn(10, contact.Contact{Kind: contact.Bounce, Who: contact.Near})
	turns := []joined.Turn{{From: 0, To: 20, Player: contact.Near, Swing: swings(h.strokes, 10)}, {From: 20, To: 20, Swing: nothing},
		{From: 30, To: 60, Player: contact.Far, Swing: func(float64) (float64, bool) { return 4, true }, Sure: true}}
	all := joined.Strokes(turns, h.sounds, h.told)
	require.Len(t, all, 3)
	require.Empty(t, all[1])
	for i, strokes := range all {
		last := math.Inf(-1)
		for _, s := range strokes {
			require.True(t, s.Seconds >= turns[i].From && s.Seconds < turns[i].To && s.Chance >= joined.Least && s.Chance <= 1+1e-9)
			if s.Chance > .5 {
				require.Greater(t, s.Seconds-last, .649)
				last = s.Seconds
			}
		}
	}
}

// Two hours among three tables.
func BenchmarkStrokes(b *testing.B) {
	h := drawn(11, contact.Contact{Kind: contact.Racket, Who: contact.Near})
	var sounds []contact.Sound
	var told []contact.Contact
	var turns []joined.Turn
	for n := range 120 {
		turns = append(turns, joined.Turn{From: 60 * float64(n), To: 60 * float64(n+1), Player: contact.Near, Swing: swings(nil, 11), Sure: true})
		for _, s := range h.sounds {
			s.Seconds += 60 * float64(n)
			sounds = append(sounds, s)
		}
		for _, c := range h.told {
			c.Seconds += 60 * float64(n)
			told = append(told, c)
		}
	}
	for b.Loop() {
		joined.Strokes(turns, sounds, told)
	}
}
