package demo

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// A club to try measuring on comes with every place and every trouble, plays by the
// same rules, and is the same for the same seed.
func TestJudgeDrawsEverything(t *testing.T) {
	places := map[Vec]bool{}
	var wide, moved, sunk, passers, coarse, left, measured, pictures int
	for seed := range int64(12) {
		c := Judge(seed)
		again := Judge(seed)
		require.Equal(t, c.Truth().Clips[3].Strokes, again.Truth().Clips[3].Strokes)
		for _, p := range c.Catalogue.Players {
			if p.Hand == club.LeftHand {
				left++
			}
		}
		for i, clip := range c.Truth().Clips {
			s := c.Scenes[i]
			places[s.Camera.At] = true
			if clip.Camera.K1 < -0.1 {
				wide++
			}
			if clip.Moved != nil {
				moved++
				require.NotEqual(t, clip.Camera, clip.CameraAt(s.Frames-1))
				require.Equal(t, clip.Camera, clip.CameraAt(0))
			}
			if clip.TableHeight < TableHeight {
				sunk++
			}
			if s.Coarse {
				coarse++
			}
			for _, f := range clip.Figures {
				if f.Passer {
					passers++
				}
			}
			for n := range s.Frames {
				pictures++
				if s.Measured(n) {
					measured++
				}
			}
			for k, p := range Corners() {
				p.Z = clip.TableHeight
				x, y, _ := s.Camera.Project(p)
				require.True(t, x > 0 && x < Width && y > 0 && y < Height, "seed %d, %s: corner %d is in the picture", seed, s.File, k)
				require.InDelta(t, x, clip.Corners[k][0], 0.01)
			}
			requireFaultsActed(t, clip)
			requireBallsPlayed(t, s)
		}
	}
	require.Greater(t, len(places), 150)
	for name, n := range map[string]int{"wide lenses": wide, "knocks": moved, "low tables": sunk, "passers": passers, "coarse pictures": coarse, "left-handers": left} {
		require.Greater(t, n, 9, name)
	}
	require.InDelta(t, 0.5, float64(measured)/float64(pictures), 0.1, "of the pictures are where strokes are measured")
}
