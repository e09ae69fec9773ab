package film

import (
	"bytes"
	"encoding/json"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/demo"
	"strokeledger/internal/table"
)

// filmed is what the truth tells of a clip's camera and table.
type filmed struct {
	Corners [4][2]float64 `json:"table_corners"`
	Camera  struct {
		Bend float64 `json:"k1"`
	} `json:"camera"`
	Moved []struct {
		Frame int `json:"frame"`
	} `json:"camera_moved"`
	scene *demo.Scene
}

// allFilmed are the clips of a club.
func allFilmed(tb testing.TB, seed int64) []filmed {
	tb.Helper()
	c := demo.Make(seed)
	var truth bytes.Buffer
	require.NoError(tb, c.WriteTruth(&truth))
	var out struct {
		Clips []filmed `json:"clips"`
	}
	require.NoError(tb, json.Unmarshal(truth.Bytes(), &out))
	for i, s := range c.Scenes {
		out.Clips[i].scene = s
	}
	return out.Clips
}

// steady is how many pictures show what the first one does.
func (f *filmed) steady() int {
	if len(f.Moved) > 0 {
		return f.Moved[0].Frame
	}
	return f.scene.Frames
}

// pictures are n of those, spread evenly.
func (f *filmed) pictures(n int) (out []*table.Picture) {
	p := newPainter(f.scene)
	for k := range n {
		out = append(out, shownBy(p, f.steady()*(2*k+1)/(2*n)))
	}
	return out
}

// shownBy is one picture of a painter, which draws what stands still once.
func shownBy(p *painter, frame int) *table.Picture {
	img := image.NewRGBA(image.Rect(0, 0, demo.Width, demo.Height))
	p.paint(img, frame)
	return table.NewPicture(img)
}

// corners are the table's, the two of the near end line first.
func (f *filmed) corners() (out [4]table.Point) {
	for i, k := range []int{0, 3, 2, 1} {
		out[i] = table.Point{X: f.Corners[k][0], Y: f.Corners[k][1]}
	}
	return out
}

// off is how far the farthest corner of a camera is from where it shows, pixels.
func (f *filmed) off(c *table.Camera) (off float64) {
	places := [4][2]float64{{0, 0}, {0, demo.TableWidth}, {demo.TableLength, demo.TableWidth}, {demo.TableLength, 0}}
	for i, q := range f.corners() {
		p, _ := c.See(places[i][0], places[i][1], demo.TableHeight)
		off = max(off, math.Hypot(p.X-q.X, p.Y-q.Y))
	}
	return off
}

// clicked are clicks on the corners, off by sd pixels, of which the fit is not told: it
// refuses where they might lie in one line. A wide lens is told.
func (f *filmed) clicked(rng *rand.Rand, sd float64) table.Clicks {
	c := table.Clicks{Width: demo.Width, Height: demo.Height, Corners: f.corners(), Wide: f.Camera.Bend < -.05}
	for i := range c.Corners {
		c.Corners[i].X += sd * rng.NormFloat64()
		c.Corners[i].Y += sd * rng.NormFloat64()
	}
	return c
}

// floorMisses are how far feet on the floor are told from the end line wrongly, metres,
// and how many of them are within their half width.
func (f *filmed) floorMisses(t *testing.T, c *table.Camera, rng *rand.Rand) (misses []float64, inside int) {
	t.Helper()
	for range 20 {
		foot := demo.Vec{X: -.2 - rng.Float64(), Y: -.3 + 2.1*rng.Float64()}
		x, y, _ := f.scene.Camera.Project(foot)
		if x < 0 || y < 0 || x > demo.Width || y > demo.Height {
			continue
		}
		spot, err := c.Floor(table.Point{X: x + .5*rng.NormFloat64(), Y: y + .5*rng.NormFloat64()}, .5)
		require.NoError(t, err)
		far, half, err := spot.From(table.EndLine)
		if err != nil {
			require.ErrorIs(t, err, table.TooVague)
			continue
		}
		misses = append(misses, math.Abs(far+foot.X))
		if math.Abs(far+foot.X) <= half {
			inside++
		}
	}
	return misses, inside
}

// Rough clicks are pulled onto the lines of every clip, in the median of three of its
// pictures, so that the floor is known. Where the camera is so low that the lines tell
// too little, that is seen.
func TestSnap(t *testing.T) {
	for _, seed := range []int64{1, 7} {
		var misses []float64
		inside, clips, good := 0, 0, 0
		for i, f := range allFilmed(t, seed) {
			clips++
			rng := rand.New(rand.NewPCG(uint64(seed), uint64(i)))
			rough, err := table.Fit(f.clicked(rng, 4))
			require.NoError(t, err)
			got, err := table.Snap(table.Median(f.pictures(3)), rough, 4)
			require.NoError(t, err, f.scene.File)
			focal := f.scene.Camera.Focal
			t.Logf("%d %-44s support %.2f, focal length %+.1f %%, corners %.1f px, good %v", seed, f.scene.File, got.Support, 100*(got.Camera.Focal()/focal-1), f.off(got.Camera), got.Good)
			if !got.Good {
				continue
			}
			good++
			require.Less(t, f.off(got.Camera), 3., f.scene.File)
			require.InEpsilon(t, focal, got.Camera.Focal(), .05, f.scene.File)
			m, in := f.floorMisses(t, got.Camera, rng)
			misses, inside = append(misses, m...), inside+in
		}
		slices.Sort(misses)
		t.Logf("seed %d: %d of %d clips, %d feet, median %.1f cm, 95 %% within %.1f, %.0f %% within the half width", seed, good, clips, len(misses), 100*misses[len(misses)/2], 100*misses[len(misses)*95/100], 100*float64(inside)/float64(len(misses)))
		require.GreaterOrEqual(t, good, clips-1)
		require.Less(t, misses[len(misses)*95/100], .05)
		require.GreaterOrEqual(t, float64(inside), .93*float64(len(misses)))
	}
}

// Without clicks the table is found in nine of ten clips and more, and where it is
// sure it is right.
func TestFind(t *testing.T) {
	clips, right, proposed := 0, 0, 0
	for _, f := range allFilmed(t, 7) {
		clips++
		got, sure := table.Find(f.pictures(3))
		t.Logf("%-44s support %.2f, corners %.1f px, sure %v", f.scene.File, got.Support, f.off(got.Camera), sure)
		if f.off(got.Camera) < 4 {
			right++
		}
		if sure {
			proposed++
			require.Less(t, f.off(got.Camera), 4., f.scene.File)
		}
	}
	require.GreaterOrEqual(t, float64(right), .9*float64(clips))
	require.GreaterOrEqual(t, float64(proposed), .75*float64(clips))
}

// A camera that stands is not said to move, and one that does is noticed where it does.
func TestMoved(t *testing.T) {
	for _, f := range allFilmed(t, 1) {
		sd := 2.
		rough, err := table.Fit(f.clicked(rand.New(rand.NewPCG(1, 2)), sd))
		require.NoError(t, err)
		got, err := table.Snap(table.Median(f.pictures(3)), rough, sd)
		require.NoError(t, err)
		var pics []*table.Picture
		const seconds = 3
		p := newPainter(f.scene)
		for n := 0; n < f.scene.Frames; n += seconds * demo.Rate {
			pics = append(pics, shownBy(p, n))
		}
		first, moved := got.Moved(pics)
		require.Equal(t, len(f.Moved) > 0, moved, "%s: from %d s on of %d", f.scene.File, first*seconds, len(pics)*seconds)
		if moved {
			require.InDelta(t, f.Moved[0].Frame, first*seconds*demo.Rate, 1.5*seconds*demo.Rate, f.scene.File)
		}
	}
}
