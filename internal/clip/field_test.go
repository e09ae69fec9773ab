package clip_test

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

const (
	wovenWidth, wovenHeight = 320, 180
	barTop, barBottom       = 96, 120
	thinRow                 = 127 // two thin lines that stand still, one in either field
)

// moment draws what a camera sees at one of 50 moments a second: its number, a bar
// that moves four columns at a time, and two thin lines that stand still.
func moment(m int) []byte {
	pix := make([]byte, wovenWidth*wovenHeight)
	bit := [16]bool{0: true, 2: true}
	odd := true // so far an even number of ones
	for i := range 12 {
		bit[3+i] = m>>(11-i)&1 == 1
		odd = odd != bit[3+i]
	}
	bit[15] = odd // id and parity together have an odd number of ones
	for y := range wovenHeight {
		for x := range wovenWidth {
			bright := false
			switch cell := bit[x*16/wovenWidth]; {
			case y < 45:
				bright = cell
			case y < 90:
				bright = !cell
			case y >= barTop && y < barBottom:
				bright = x >= 4*m && x < 4*m+40
			case y == thinRow || y == thinRow+3:
				bright = true
			case y >= 140:
				bright = x >= wovenWidth/2
			}
			pix[y*wovenWidth+x] = 20
			if bright {
				pix[y*wovenWidth+x] = 225
			}
		}
	}
	return pix
}

// woven makes an interlaced clip of 25 pictures a second out of 50 moments.
func woven(t *testing.T, name string, order string, coder ...string) *clip.Clip {
	var raw bytes.Buffer
	for m := range 60 {
		raw.Write(moment(m))
	}
	path := filepath.Join(t.TempDir(), name)
	args := []string{"-v", "error", "-f", "rawvideo", "-pix_fmt", "gray", "-s", "320x180", "-r", "50", "-i", "-", "-vf",
		"scale=out_range=tv,tinterlace=interleave_" + order + ",format=yuv420p"}
	cmd := exec.Command("ffmpeg", append(append(args, coder...), "-flags", "+ildct+ilme", path)...)
	cmd.Stdin = &raw
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { c.Close() })
	require.NoError(t, c.Indexed(context.Background()))
	return c
}

func eachWoven(t *testing.T, check func(t *testing.T, c *clip.Clip)) {
	t.Run("H.264, top field first", func(t *testing.T) {
		check(t, woven(t, "a.ts", "top", "-c:v", "libx264", "-qp", "8", "-x264opts", "tff"))
	})
	t.Run("MPEG-2, bottom field first", func(t *testing.T) {
		check(t, woven(t, "b.mpg", "bottom", "-c:v", "mpeg2video", "-q:v", "2"))
	})
}

// requireMoment checks that a picture shows one moment and no comb.
func requireMoment(t *testing.T, m int, img image.Image) {
	t.Helper()
	got, err := number(img)
	require.NoError(t, err)
	require.Equal(t, m, got)
	level := func(x, y int) uint32 { r, _, _, _ := img.At(x, y).RGBA(); return r >> 8 }
	for y := barTop + 2; y < barBottom-2; y++ {
		for x := 4; x < wovenWidth-4; x++ {
			switch inside := x - 4*m; {
			case inside >= 2 && inside < 38:
				require.Greater(t, level(x, y), uint32(170), "moment %d, column %d, row %d", m, x, y)
			case inside < -2 || inside >= 42:
				require.Less(t, level(x, y), uint32(70), "moment %d, column %d, row %d", m, x, y)
			}
		}
	}
}

func TestFieldsAreTheirOwnMoments(t *testing.T) {
	eachWoven(t, func(t *testing.T, c *clip.Clip) {
		ctx := context.Background()
		require.True(t, c.Info().Interlaced)
		require.Equal(t, 30, c.Index().Len(), "pictures are counted whole")
		for n := range c.Index().Len() - 1 {
			for k, field := range []clip.Field{clip.First, clip.Second} {
				img, err := c.ImageField(ctx, n, field)
				require.NoError(t, err)
				requireMoment(t, 2*n+k, img)
				data, err := c.JPEGField(ctx, n, 0, field)
				require.NoError(t, err)
				small, err := jpeg.Decode(bytes.NewReader(data))
				require.NoError(t, err)
				requireMoment(t, 2*n+k, small)
				require.InDelta(t, float64(2*n+k)/50, c.Index().FieldSeconds(n, field), 1e-3)
			}
		}
		for n := 27; n >= 0; n-- { // and backwards
			for k := 1; k >= 0; k-- {
				data, err := c.JPEGField(ctx, n, 0, []clip.Field{clip.First, clip.Second}[k])
				require.NoError(t, err)
				small, err := jpeg.Decode(bytes.NewReader(data))
				require.NoError(t, err)
				requireMoment(t, 2*n+k, small)
			}
		}
	})
}

func TestWholePicturesShowNoComb(t *testing.T) {
	eachWoven(t, func(t *testing.T, c *clip.Clip) {
		for n := range c.Index().Len() - 1 {
			img, err := c.Image(context.Background(), n)
			require.NoError(t, err)
			requireMoment(t, 2*n, img)
			for _, y := range []int{thinRow, thinRow + 3} { // what stands still stays sharp
				require.Greater(t, img.RGBAAt(200, y).R, uint8(170), "thin line %d", y)
				require.Less(t, img.RGBAAt(200, y-1).R, uint8(80), "thin line %d", y)
			}
		}
	})
}

func TestFieldsOfPicturesThatAreWhole(t *testing.T) {
	c := cases(t)[0].open(t, clip.Options{})
	require.False(t, c.Info().Interlaced)
	whole, err := c.Image(context.Background(), 9)
	require.NoError(t, err)
	for _, field := range []clip.Field{clip.First, clip.Second} {
		img, err := c.ImageField(context.Background(), 9, field)
		require.NoError(t, err)
		require.Equal(t, whole.Pix, img.Pix)
	}
}
