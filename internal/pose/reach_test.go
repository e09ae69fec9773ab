package pose_test

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/pose"
)

// measured is what following a player gave, against the truth.
type measured struct {
	pictures, told int
	feet           []float64 // along the table, of each stroke, as seen less the ankles, m
	elbow          []float64 // of the racket arm, at the depth of the elbow, m
}

// TestReach follows the near player round the first strokes of clips of the invented
// club, drawn, encoded and decoded, of a seed on which nothing was tuned. The ankles that
// the truth has are not the middles of the feet: that is a definition, so the spread
// counts and not the mean.
func TestReach(t *testing.T) {
	f, err := pose.New()
	require.NoError(t, err)
	var m measured
	for _, n := range []int{1, 8} {
		m.follow(t, f, demo.Make(23), n)
	}
	t.Logf("%d strokes, %d of %d pictures told, feet sd %.1f cm, elbow median %.1f cm",
		len(m.feet), m.told, m.pictures, 100*deviation(m.feet), 100*median(m.elbow))
	require.Greater(t, len(m.feet), 15)
	require.GreaterOrEqual(t, float64(m.told), .99*float64(m.pictures))
	require.LessOrEqual(t, deviation(m.feet), .025)
	require.LessOrEqual(t, median(m.elbow), .06)
}

// follow adds the first seconds of a clip.
func (m *measured) follow(t *testing.T, f *pose.Finder, c demo.Club, n int) {
	scene, truth := *c.Scenes[n], c.Truth().Clips[n]
	scene.Frames = min(scene.Frames, 12*demo.Rate)
	path := filepath.Join(t.TempDir(), scene.File)
	require.NoError(t, film.Write(t.Context(), &scene, path, nil))
	clip, err := clip.Open(t.Context(), path, clip.Options{})
	require.NoError(t, err)
	defer clip.Close()
	player := f.Follow(ground{scene.Camera})
	for _, s := range truth.Strokes {
		if s.Frame+2 >= scene.Frames {
			continue
		}
		var feet []float64
		for frame := s.Frame - 4; frame <= s.Frame+2; frame++ {
			img, err := clip.Image(t.Context(), frame)
			require.NoError(t, err)
			m.pictures++
			p, told := player.Next(img)
			if !told {
				continue
			}
			m.told++
			want := playing(t, &scene, truth, s, frame)
			hips := p.Joints[pose.RightHip]
			require.Less(t, off(scene.Camera, want.Joints[demo.RightHip], hips), .4, "frame %d of %s shows somebody else", frame, scene.File)
			elbow, place := want.Joints[demo.RightElbow], pose.RightElbow
			if want.Left {
				elbow, place = want.Joints[demo.LeftElbow], pose.LeftElbow
			}
			m.elbow = append(m.elbow, off(scene.Camera, elbow, p.Joints[place]))
			if frame >= s.Frame-2 {
				x, y := p.Feet()
				ankles := (want.Joints[demo.RightAnkle].X + want.Joints[demo.LeftAnkle].X) / 2
				feet = append(feet, scene.Camera.OnLevel(x, y, .03).X-ankles) // in the middle of a shoe
			}
		}
		if len(feet) == 5 {
			m.feet = append(m.feet, median(feet))
		}
	}
}

// playing is the figure that plays a stroke, as it is in a frame.
func playing(t *testing.T, s *demo.Scene, c demo.TruthClip, stroke demo.TruthStroke, frame int) demo.Figure {
	for i, f := range c.Figures {
		if f.Near && f.Turn == stroke.Turn {
			return s.Actors[i].Figure(s.Seconds(frame))
		}
	}
	t.Fatal("nobody plays this stroke")
	return demo.Figure{}
}

// off is how far a joint is seen from where it is, at its depth, metres.
func off(c demo.Camera, at demo.Vec, seen pose.Joint) float64 {
	x, y, depth := c.Project(at)
	return math.Hypot(seen.X-x, seen.Y-y) * depth / c.Focal
}

// ground is the floor as the camera that drew the clip sees it.
type ground struct{ camera demo.Camera }

func (g ground) Stand(x, y float64) (behind, left float64, known bool) {
	at := g.camera.OnLevel(x, y, 0)
	return -at.X, at.Y, true
}

func median(v []float64) float64 {
	v = slices.Sorted(slices.Values(v))
	return v[len(v)/2]
}

func deviation(v []float64) float64 {
	var sum, square float64
	for _, x := range v {
		sum += x
		square += x * x
	}
	mean := sum / float64(len(v))
	return math.Sqrt(square/float64(len(v)) - mean*mean)
}
