package measure_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/measure"
)

// armed is a drawn stroke, with its joints as they truly are.
type armed struct {
	measure.Stroke
	bodies  []measure.Body
	degrees float64 // by which the upper arm is lifted
}

// strokesOf are the strokes of a club.
func strokesOf(t *testing.T, seed int64) (all []armed) {
	t.Helper()
	c := demo.Judge(seed)
	hands := map[club.ID]club.Hand{}
	for _, p := range c.Catalogue.Players {
		hands[p.ID] = p.Hand
	}
	pairs := [6][2]int{{demo.RightShoulder, demo.LeftShoulder}, {demo.RightElbow, demo.LeftElbow}, {demo.RightWrist, demo.LeftWrist},
		{demo.RightHip, demo.LeftHip}, {demo.RightHeel, demo.LeftHeel}, {demo.RightToe, demo.LeftToe}}
	for i, clip := range c.Truth().Clips {
		s := c.Scenes[i]
		for _, k := range clip.Strokes {
			one := armed{measure.Stroke{Contact: k.Seconds}, nil, k.ElbowAngle}
			if hands[clip.Turns[k.Turn].PlayerID] == club.LeftHand {
				one.Racket = measure.Left
			}
			f := clip.Figures[slices.IndexFunc(clip.Figures, func(f demo.TruthFigure) bool { return f.Turn == k.Turn })]
			places, err := f.Positions()
			require.NoError(t, err)
			for n := max(f.First, k.Frame-6); n <= k.Frame+3 && n < f.First+f.Frames; n++ {
				b := measure.Body{Seconds: s.Seconds(n)}
				for j, pair := range b.Pairs() {
					for side := range pair {
						x, y, _ := s.CameraAt(b.Seconds).Project(places[n-f.First][pairs[j][side]])
						pair[side] = measure.Joint{X: x, Y: y, Visibility: 1}
					}
				}
				one.bodies = append(one.bodies, b)
			}
			all = append(all, one)
		}
	}
	return all
}

// Lifted elbows of a club that nothing was fitted to show higher than hanging ones, though
// the weights are for the network's joints, which err otherwise.
func TestElbowsOfDrawnPlayers(t *testing.T) {
	var lifted, hanging []float64
	for _, s := range strokesOf(t, 113) {
		v, told := measure.Of(s.Stroke, s.bodies, nil)[club.ElbowDrop]
		switch {
		case !told:
		case s.degrees > 46:
			lifted = append(lifted, v.At)
		case s.degrees < 34:
			hanging = append(hanging, v.At)
		}
	}
	require.Greater(t, len(lifted), 5)
	require.Greater(t, len(hanging), 50)
	lower := 0
	for _, a := range lifted {
		for _, b := range hanging {
			if a < b {
				lower++
			}
		}
	}
	require.Greater(t, float64(lower), .9*float64(len(lifted)*len(hanging)))
}

// A picture in a mirror with the other hand, one that is larger or elsewhere, and pictures
// in another order say the same.
func TestElbowWhateverThePicture(t *testing.T) {
	told := 0
	for _, s := range strokesOf(t, 114)[:60] {
		want, ok := measure.Of(s.Stroke, s.bodies, nil)[club.ElbowDrop]
		if ok {
			told++
		}
		other := s.Stroke
		other.Racket = 1 - s.Racket
		bodies := slices.Clone(s.bodies)
		slices.Reverse(bodies)
		for i := range bodies {
			for _, pair := range bodies[i].Pairs() {
				pair[0], pair[1] = pair[1], pair[0]
				for side := range pair {
					pair[side].X, pair[side].Y = 900-1.7*pair[side].X, 40+1.7*pair[side].Y
				}
			}
		}
		got, also := measure.Of(other, bodies, nil)[club.ElbowDrop]
		require.Equal(t, ok, also)
		require.InDelta(t, want.At, got.At, 1e-6)
	}
	require.Positive(t, told)
}

// Pictures that a file gives one time say nothing of how an arm moves.
func TestElbowAtOneTimeIsNotTold(t *testing.T) {
	told := 0
	for _, s := range strokesOf(t, 114)[:60] {
		if _, ok := measure.Of(s.Stroke, s.bodies, nil)[club.ElbowDrop]; !ok {
			continue
		}
		told++
		for i := range s.bodies {
			s.bodies[i].Seconds = s.Contact
		}
		require.NotContains(t, measure.Of(s.Stroke, s.bodies, nil), club.ElbowDrop)
	}
	require.Positive(t, told)
}
