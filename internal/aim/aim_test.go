package aim

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/timecode"
)

// rally is a stretch of play as it goes at a table: the player's contacts and, between
// them, the partner's (or the feeder's), in seconds.
type rally struct{ own, partner []float64 }

// playOf draws strokes of one player that follow one another after so many seconds. In a
// rally the ball is half way round when the partner strikes; a feeder strikes 0.4 to
// 0.7 s before the player, whenever the stroke before was (common practice, no source).
func playOf(rnd *rand.Rand, least, most float64, fed bool) (r rally) {
	between := func(a, b float64) float64 { return a + rnd.Float64()*(b-a) }
	at := 0.5
	usual := between(least, most) // a turn has its own tempo
	for range 12 {
		step := min(max(usual+between(-0.15, 0.15)*usual, least), most)
		next := at + step
		r.own = append(r.own, at)
		switch {
		case fed:
			r.partner = append(r.partner, next-min(between(0.4, 0.7), 0.75*step))
		default:
			r.partner = append(r.partner, at+step*between(0.42, 0.58))
		}
		at = next
	}
	return r
}

// visible draws when a fault of a phase is to be seen on stroke i: what a coach looks
// for in that phase of a stroke, by what happens at the table
// (common practice, no source). It has strokes before and after it.
func (r rally) visible(rnd *rand.Rand, i int, p club.Phase) float64 {
	between := func(a, b float64) float64 { return a + rnd.Float64()*max(0, b-a) }
	c := r.own[i]
	served, answered := r.partner[i-1], r.partner[i] // before the stroke, and after it
	switch p {
	case club.Ready: // stands upright, or in the wrong place, from when the other strikes until the ball is there
		return between(served-0.05, c-0.1)
	case club.Footwork: // does not move, or moves wrongly, to where the ball comes
		return between(served+0.1, c)
	case club.Backswing: // from the ball's bounce on, until the racket goes forward
		return between(max(served+0.1, c-0.4), c-0.08)
	case club.ContactPhase:
		return between(c-0.03, c+0.05)
	case club.FollowThrough:
		return between(c+0.03, c+0.3)
	}
	return between(min(c+0.3, answered), answered+0.1) // not back when the other strikes
}

// partnersContacts says what is on record of the partner's contacts.
func partnersContacts() []string { return []string{"known", "unknown", "up to 0.2 s wrong"} }

// record is the turn as it is logged: each contact on a picture of 25 a second.
func (r rally) record(rnd *rand.Rand, known string) club.TurnRecord {
	t := club.TurnRecord{Base: timecode.Base{Num: 1, Den: 1000}, Turn: club.Turn{LastTicks: int64(1000 * (r.own[len(r.own)-1] + 1))}}
	for i, c := range r.own {
		s := club.Stroke{ID: club.ID(fmt.Sprint(i)), Ticks: int64(c/0.04+0.5) * 40, Side: club.Forehand}
		if a := r.partner[i]; known != "unknown" {
			if known != "known" {
				a += 0.4*rnd.Float64() - 0.2
			}
			s.Answer = &a
		}
		t.Strokes = append(t.Strokes, s)
	}
	return t
}

// A key that is pressed while a clip plays, up to 0.6 s after the fault was to be seen,
// means the stroke on which it was seen: of strokes that are 0.8 s and more from one to
// the next at least 95 in 100, of the closest of them, for being ready, at least 93. Where
// they follow one another faster, fingers as slow as that reach the next stroke: at the
// clip's own speed 80 in 100. Which of two strokes was meant is asked only where it can
// be in doubt.
func TestAtFindsTheStrokeInPlay(t *testing.T) {
	tempi := [][2]float64{{0.6, 0.8}, {0.8, 1.0}, {1.0, 1.5}, {1.5, 2.5}} // seconds
	for _, rate := range []float64{1, 0.5, 0.25} {
		for _, known := range partnersContacts() {
			for n, tempo := range tempi {
				var line strings.Builder
				for phase, k := range aimed(rate, known, tempo) {
					fmt.Fprintf(&line, " %s %.3f+%.3f asked %.2f", club.Phases()[phase], k.right, k.suggested, k.asked)
					floor := 0.95
					switch {
					case n == 0 && rate == 1:
						floor = 0.8
					case n == 0 || n == 1 && rate == 1 && club.Phases()[phase] == club.Ready:
						floor = 0.9
					}
					if n == len(tempi)-1 {
						require.Less(t, k.asked, 0.05, "%s: nobody means a stroke of a second and a half ago", club.Phases()[phase])
					}
					require.GreaterOrEqual(t, k.right, floor, "%s at %v times, partner %s, %v s", club.Phases()[phase], rate, known, tempo)
				}
				t.Logf("%4.2f times, partner %-17s %.1f to %.1f s:%s", rate, known, tempo[0], tempo[1], line.String())
			}
		}
	}
}

// aiming is how often keys were taken as they were meant, how often the stroke that was
// meant was offered, and how often another was offered for nothing.
type aiming struct{ right, suggested, asked float64 }

// aimed is that for each phase.
func aimed(rate float64, known string, tempo [2]float64) []aiming {
	const turns = 2000
	rnd := rand.New(rand.NewPCG(20, 26))
	shares := make([]aiming, len(club.Phases()))
	for n := range turns {
		r := playOf(rnd, tempo[0], tempo[1], n%2 == 0)
		rec := r.record(rnd, known)
		for k, phase := range club.Phases() {
			i := 1 + rnd.IntN(len(r.own)-2)
			key := int64(1000 * (r.visible(rnd, i, phase) + 0.6*rate*rnd.Float64()))
			switch meant := At(&rec, key, club.UsualReaction*rate, club.Fault{Phase: phase, Sides: club.BothSides}, rec.Sides("")); {
			case i == meant.Stroke && meant.Other >= 0:
				shares[k].asked += 1.0 / turns
				fallthrough
			case i == meant.Stroke:
				shares[k].right += 1.0 / turns
			case i == meant.Other:
				shares[k].suggested += 1.0 / turns
			}
		}
	}
	return shares
}
