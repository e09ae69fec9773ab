package swing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/measure"
)

// turn is a drawn turn: the arm as a network may see it, and what is true of it.
type turn struct {
	from, to float64
	bodies   []measure.Body
	racket   measure.Side
	strokes  []demo.TruthStroke
}

// turns are those of a club, with joints off as those of the network are: about 3 cm that
// stay for a turn and 3 cm that come and go.
func turns(tb testing.TB, seed int64) (all []turn) {
	tb.Helper()
	rng := rand.New(rand.NewPCG(uint64(seed), 9))
	c := demo.Spar(seed)
	hands := map[club.ID]club.Hand{}
	for _, p := range c.Catalogue.Players {
		hands[p.ID] = p.Hand
	}
	pairs := [6][2]int{{demo.RightShoulder, demo.LeftShoulder}, {demo.RightElbow, demo.LeftElbow}, {demo.RightWrist, demo.LeftWrist},
		{demo.RightHip, demo.LeftHip}, {demo.RightHeel, demo.LeftHeel}, {demo.RightToe, demo.LeftToe}}
	for i, clip := range c.Truth().Clips {
		s := c.Scenes[i]
		for _, f := range clip.Figures {
			if f.Turn < 0 {
				continue
			}
			places, err := f.Positions()
			require.NoError(tb, err)
			t := clip.Turns[f.Turn]
			one := turn{from: s.Seconds(t.First), to: s.Seconds(t.Last + 1)}
			if hands[t.PlayerID] == club.LeftHand {
				one.racket = measure.Left
			}
			var stays, comes [6][2][2]float64
			for _, off := range []*[6][2][2]float64{&stays, &comes} {
				for j := range off {
					for side := range 2 {
						off[j][side] = [2]float64{rng.NormFloat64(), rng.NormFloat64()}
					}
				}
			}
			for n := t.First; n <= t.Last && n < f.First+f.Frames; n += 4 {
				b := measure.Body{Seconds: s.Seconds(n)}
				for j, pair := range b.Pairs() {
					for side := range 2 {
						p := places[max(0, n-f.First)][pairs[j][side]]
						x, y, depth := s.CameraAt(b.Seconds).Project(p)
						const off = .03 // metres
						k := off * s.Camera.Focal / depth
						e := &comes[j][side]
						for a := range e {
							e[a] = .6*e[a] + .8*rng.NormFloat64()
						}
						pair[side] = measure.Joint{X: x + k*(stays[j][side][0]+e[0]), Y: y + k*(stays[j][side][1]+e[1]), Visibility: 1}
					}
				}
				one.bodies = append(one.bodies, b)
			}
			for _, k := range clip.Strokes {
				if k.Turn == f.Turn {
					one.strokes = append(one.strokes, k)
				}
			}
			all = append(all, one)
		}
	}
	return all
}

// contacts are the moments of a turn at which racket and ball meet, and of the others
// every 40 ms that is not near one.
func (t *turn) moments() (struck, others []float64) {
	for _, s := range t.strokes {
		struck = append(struck, s.Seconds)
	}
	for at := t.from + .2; at < t.to-.2; at += .04 {
		near := math.Inf(1)
		for _, s := range struck {
			near = min(near, math.Abs(s-at))
		}
		if near > .07 {
			others = append(others, at)
		}
	}
	return struck, others
}
