package film

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/demo"
	"strokeledger/internal/table"
)

// roughly are clicks on the corners of a scene's table that are off by sd pixels.
func roughly(s *demo.Scene, rng *rand.Rand, sd float64) table.Clicks {
	c := table.Clicks{Width: demo.Width, Height: demo.Height, SD: sd}
	for i, k := range []int{0, 3, 2, 1} {
		x, y, _ := s.Camera.Project(demo.Corners()[k])
		c.Corners[i] = table.Point{X: x + sd*normal(rng), Y: y + sd*normal(rng)}
	}
	return c
}

// Rough clicks are pulled onto the lines of every clip.
func TestSnap(t *testing.T) {
	for _, seed := range []int64{1, 7} {
		for i, s := range demo.Make(seed).Scenes {
			rng := rand.New(rand.NewPCG(uint64(seed), uint64(i)))
			rough, err := table.Fit(roughly(s, rng, 4))
			require.NoError(t, err)
			pic := table.NewPicture(still(s, s.Frames/2))
			got, err := table.Snap(pic, rough, 4)
			require.NoError(t, err, s.File)
			require.True(t, got.Good, s.File)
			off := 0.
			for _, c := range demo.Corners() {
				x, y, _ := s.Camera.Project(c)
				p, _ := got.Camera.See(c.X, c.Y, c.Z)
				require.Less(t, math.Hypot(p.X-x, p.Y-y), 5., s.File)
				off = max(off, math.Hypot(p.X-x, p.Y-y))
			}
			t.Logf("%d %s %.3f focal %.1f corner %.1f", seed, s.File, got.Support, 100*(got.Camera.Focal()/s.Camera.Focal-1), off)
		}
	}
}

func normal(rng *rand.Rand) float64 {
	if rng == nil {
		return 0
	}
	return rng.NormFloat64()
}
