package clip

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip/av"
)

// The same picture on other ways: pixel (x, y) of what is shown, mirrored first and
// then rotated clockwise, comes from where this says.
func source(x, y, quarter int, mirror bool, w, h int) (int, int) {
	switch quarter { // back
	case 1:
		x, y = y, h-1-x
	case 2:
		x, y = w-1-x, h-1-y
	case 3:
		x, y = w-1-y, x
	}
	if mirror {
		x = w - 1 - x
	}
	return x, y
}

// Each rotation and mirror shows the pixels of the picture at other places, and a part
// is those pixels of it and nothing scaled.
func TestPartsOfRotatedPictures(t *testing.T) {
	ctx := context.Background()
	for _, name := range []string{"a01_baseline.mp4", "a05_rot90cw.mov", "a07_mirror.mp4"} {
		c, err := Open(ctx, "../../testdata/clips/"+name, Options{})
		require.NoError(t, err)
		plain, err := c.Image(ctx, 3)
		require.NoError(t, err)
		for quarter := range 4 {
			for _, mirror := range []bool{false, true} {
				look := c.Look().Rotated(quarter, mirror)
				whole, err := c.ImageLook(ctx, 3, look)
				require.NoError(t, err)
				w, h := c.Look().Width, c.Look().Height
				for y := range look.Height {
					for x := range look.Width {
						fx, fy := source(x, y, quarter, mirror, w, h)
						require.Equal(t, plain.RGBAAt(fx, fy), whole.RGBAAt(x, y), "%s, %d quarters, mirror %v: (%d, %d)", name, quarter, mirror, x, y)
					}
				}
				part := image.Rect(20, 34, 20+96, 34+64)
				cut, err := c.ImageLook(ctx, 3, look.Cut(part, 1000))
				require.NoError(t, err)
				require.Equal(t, part.Size(), cut.Bounds().Size())
				const edge = 4 // where the chroma lacks its neighbours
				for y := edge; y < part.Dy()-edge; y++ {
					for x := edge; x < part.Dx()-edge; x++ {
						require.Equal(t, whole.RGBAAt(part.Min.X+x, part.Min.Y+y), cut.RGBAAt(x, y), "%s, %d quarters, mirror %v, part: (%d, %d)", name, quarter, mirror, x, y)
					}
				}
				data, err := c.JPEGLook(ctx, 3, look.Cut(part, 1000))
				require.NoError(t, err)
				small, err := jpeg.Decode(bytes.NewReader(data))
				require.NoError(t, err)
				require.Equal(t, part.Size(), small.Bounds().Size())
				off := 0
				for y := range part.Dy() {
					for x := range part.Dx() {
						want, got := color.GrayModel.Convert(whole.At(part.Min.X+x, part.Min.Y+y)).(color.Gray), color.GrayModel.Convert(small.At(x, y)).(color.Gray)
						off += max(int(want.Y)-int(got.Y), int(got.Y)-int(want.Y))
					}
				}
				require.Less(t, float64(off)/float64(part.Dx()*part.Dy()), 2.5, "mean error of the JPEG, levels")
			}
		}
		require.NoError(t, c.Close())
	}
}

// A part of a picture whose pixels are not square, or of two moments, lies where the
// whole picture has it, within a pixel of the file.
func TestPartsOfOddPictures(t *testing.T) {
	ctx := context.Background()
	for _, name := range []string{"a08_sar_4_3.mp4", "a09_mbaff_tff.ts", "a11_hevc10_hlg.mov", "a23_prores.mov", "a33_gray.mkv", "a34_alpha.mov", "a21_vp9_odd.webm"} {
		c, err := Open(ctx, "../../testdata/clips/"+name, Options{})
		require.NoError(t, err)
		look := c.Look()
		whole, err := c.Image(ctx, 2)
		require.NoError(t, err)
		part := image.Rect(look.Width/4&^1, look.Height/4&^1, look.Width*3/4&^1, look.Height*3/4&^1)
		cut, err := c.ImageLook(ctx, 2, look.Cut(part, look.Width))
		require.NoError(t, err)
		best := 1e9
		for dy := -2; dy <= 2; dy++ {
			for dx := -2; dx <= 2; dx++ {
				off := 0.
				for y := 8; y < part.Dy()-8; y += 3 {
					for x := 8; x < part.Dx()-8; x += 3 {
						a, b := cut.RGBAAt(x, y), whole.RGBAAt(part.Min.X+x+dx, part.Min.Y+y+dy)
						d := float64(a.G) - float64(b.G)
						off += d * d
					}
				}
				best = min(best, off/float64(part.Dx()*part.Dy()/9))
			}
		}
		require.Less(t, best, 60., "%s: mean square error", name)
		require.NoError(t, c.Close())
	}
}

// Light changes luma as it says, the same in a still, on the screen and in a film, and
// leaves grey grey.
func TestLight(t *testing.T) {
	ctx := context.Background()
	c, err := Open(ctx, "../../testdata/clips/a01_baseline.mp4", Options{})
	require.NoError(t, err)
	defer c.Close()
	mean := func(img image.Image) (sum float64) {
		b := img.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				sum += float64(color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y)
			}
		}
		return sum / float64(b.Dx()*b.Dy())
	}
	show := func(l av.Look) (still, screen float64) {
		look := c.Look()
		look.Brightness, look.Contrast, look.Gamma = l.Brightness, l.Contrast, l.Gamma
		img, err := c.ImageLook(ctx, 0, look)
		require.NoError(t, err)
		data, err := c.JPEGLook(ctx, 0, look)
		require.NoError(t, err)
		seen, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		return mean(img), mean(seen)
	}
	plain, _ := show(av.Look{})
	for _, l := range []av.Look{{Brightness: 40}, {Gamma: 60}, {Contrast: 50}, {Brightness: -40}, {Gamma: -60}} {
		still, screen := show(l)
		require.InDelta(t, still, screen, 3, "%+v: still and screen", l)
		if up := l.Brightness + l.Gamma; up > 0 {
			require.Greater(t, still, plain+10, "%+v", l)
		} else if up < 0 {
			require.Less(t, still, plain-10, "%+v", l)
		}
	}
}
