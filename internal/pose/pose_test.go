package pose

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io/fs"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestPlacesHaveNames(t *testing.T) {
	named := map[string]bool{}
	for p := range Place(Places) {
		require.NotEmpty(t, p.String())
		named[p.String()] = true
	}
	require.Len(t, named, Places)
	require.Equal(t, "left toe", LeftToe.String())
	require.Equal(t, "right hip", RightHip.String())
}

// A picture whose red is the column and whose green is the row shows where each pixel of
// a crop comes from.
func TestCropTakesPixelsWhereTheyAre(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 200, 150))
	for y := range 150 {
		for x := range 200 {
			img.SetRGBA(x, y, color.RGBA{uint8(x), uint8(y), 99, 255})
		}
	}
	var c cropper
	for _, part := range []square{{100, 75, 32}, {60.25, 70.75, 16}, {100, 75, 128}, {100.5, 70, 97}} {
		const side = 32
		out := make([]float32, side*side*3)
		c.crop(out, side, img, part, 2, -1)
		step := part.size / side
		for y := range side {
			for x := range side {
				at := out[(y*side+x)*3:]
				// The first pixel's centre is .5 and its red nought.
				require.InDelta(t, 2*(part.x-part.size/2+(float64(x)+.5)*step-.5)-1, at[0], .02)
				require.InDelta(t, 2*(part.y-part.size/2+(float64(y)+.5)*step-.5)-1, at[1], .02)
				require.InDelta(t, 2*99-1, at[2], .02)
			}
		}
	}
	// Outside is black, and what is made smaller is the mean of all that is in it.
	out := make([]float32, 8*8*3)
	c.crop(out, 8, img, square{0, 0, 400}, 1, 0)
	require.Zero(t, out[0])
	for i := range img.Pix {
		img.Pix[i] = 255 * byte(i/4%2)
	}
	c.crop(out, 8, img, square{100, 75, 100}, 1, 0)
	for _, v := range out {
		require.InDelta(t, 127.5, v, 4)
	}
	c.crop(out, 8, img, square{1000, 75, 100}, 1, 0)
	require.Equal(t, make([]float32, len(out)), out)
}

func TestWithoutNetworksASentenceSaysSo(t *testing.T) {
	_, err := load(func(string) ([]byte, error) { return nil, fs.ErrNotExist })
	require.ErrorIs(t, err, ErrMissing)
	p, told := club.AsProblem(err)
	require.True(t, told)
	require.Contains(t, p.Say, "built without the networks that find joints")

	_, err = load(func(string) ([]byte, error) { return weights.ReadFile("weights/detector.tflite") })
	require.ErrorContains(t, err, "landmarks.tflite")
	_, err = load(func(string) ([]byte, error) { return []byte("nonsense"), nil })
	require.ErrorContains(t, err, "not a network")
}

// hall is a drawn player behind a table, and the partner beyond it.
func hall(t testing.TB) *image.RGBA { return picture(t, "hall.png") }

func picture(t testing.TB, name string) *image.RGBA {
	t.Helper()
	f, err := os.Open("neural/testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	to := image.NewRGBA(img.Bounds())
	draw.Draw(to, to.Rect, img, image.Point{}, draw.Src)
	return to
}

func TestNobodyIsFoundWhereNobodyIs(t *testing.T) {
	f, err := New()
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 320, 180))
	require.Empty(t, f.People(img))
	for i := range img.Pix {
		img.Pix[i] = byte(i * i >> 8)
	}
	require.Empty(t, f.People(img))
	require.Empty(t, f.People(image.NewRGBA(image.Rect(0, 0, 2, 1))))
	require.Len(t, f.People(hall(t)), 1, "once, in whichever parts of the picture")
}

func TestWhoIsFoundTwiceIsOne(t *testing.T) {
	a, again, other := standing(100, 300, .8), standing(106, 302, .9), standing(130, 300, .7) // regions of 120 pixels
	require.Equal(t, []Person{again, other}, joined(joined(joined(nil, a), other), again))
	require.Equal(t, []Person{again}, joined([]Person{again}, a))
}

// Somebody is there twice, a third of a body's height apart.
func TestTwoWhoStandTogetherAreTwo(t *testing.T) {
	f, err := New()
	require.NoError(t, err)
	const apart = 75
	one := picture(t, "figure.png")
	two := image.NewRGBA(image.Rect(0, 0, 256+apart, 256))
	draw.Draw(two, one.Rect, one, image.Point{}, draw.Src)
	draw.Draw(two, image.Rect(100+apart, 0, 256+apart, 256), one, image.Pt(100, 0), draw.Src)
	people := f.People(two)
	require.Len(t, people, 2)
	between := math.Abs(people[0].Joints[RightHip].X - people[1].Joints[RightHip].X)
	require.InDelta(t, apart, between, 8)
}

func TestRegionsThatCannotBeAreNotLookedAt(t *testing.T) {
	f, err := New()
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 320, 180))
	nan := math.NaN()
	for _, s := range []square{{160, 90, 0}, {160, 90, nan}, {nan, 90, 100}, {-1, 90, 100}, {160, 181, 100}, {160, 90, 1e9}} {
		_, ok := f.inside(img, s)
		require.False(t, ok, s)
	}
}
