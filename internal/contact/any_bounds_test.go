package contact_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/demo/hall"
)

// bounds holds the detector to what it has to reach in any hall.
func bounds(t testing.TB, all []halls, bins [11]binned, spoken map[string]float64) {
	least := func(c hall.Condition, what string, is, bound float64) {
		if !(is >= bound) { // not a number is a miss as well
			t.Errorf("missed: %s: %s is %.3f, and has to be %.3f or more", c, what, is, bound)
		}
	}
	atMost := func(c any, is, bound float64) {
		if !(is <= bound) {
			t.Errorf("missed: %s: %.1f contacts a minute where nobody plays, and there may be %.0f", c, is, bound)
		}
	}
	of := map[hall.Condition]halls{}
	for _, h := range all {
		of[h.condition] = h
	}

	timbres := halls{condition: "all timbres"}
	for _, c := range hall.Timbres() {
		least(c, "F", of[c].mean(f), .97)
		timbres.clips = append(timbres.clips, of[c].clips...)
	}
	for _, c := range timbres.clips {
		require.GreaterOrEqual(t, anyHallSeconds-60*c.minutes, 20., "seconds of play")
	}
	clear, honest := timbres.clearly()
	least(timbres.condition, "share of clips with the kinds right", clear, .90)
	least(timbres.condition, "kinds after one !", timbres.mean(told), .98)
	least(timbres.condition, "share of the others in which it is not sure", honest, 1)

	for _, b := range []struct {
		condition hall.Condition
		least     float64
	}{
		{hall.OneOther12, .97}, {hall.OneOther6, .93}, {hall.TwoOthers12, .93}, {hall.TwoOthers6, .85}, {hall.TwoOthers6Apart, .85},
		{hall.FirstStrokes, .97}, {hall.VeryQuiet, .97}, {hall.Inverted, .97}, {hall.Apart, .97}, {hall.InvertedApart, .97},
		{hall.SpeechAround, .97},
	} {
		least(b.condition, "F", of[b.condition].mean(f), b.least)
	}
	least(hall.FirstStrokes, "share of first strokes found", of[hall.FirstStrokes].firsts(), .95)
	for _, c := range hall.Nobody() {
		atMost(c, of[c].minute(), 5)
	}
	for voice, minute := range spoken {
		atMost("speech of flite, voice "+voice, minute, 5)
	}
	atMost(hall.SpeechAround, of[hall.SpeechAround].minute(), 2)

	// Two standard errors beyond what is asked for: few contacts say little.
	if b := bins[9]; b.all > 0 {
		right := float64(b.right) / float64(b.all)
		slack := 2 * math.Sqrt(.1*.9/float64(b.all))
		if right < .85-slack || right > .95+slack {
			t.Errorf("missed: of %d contacts at 90 %%, %.3f are right, and .85 to .95 have to be", b.all, right)
		}
	}
}
