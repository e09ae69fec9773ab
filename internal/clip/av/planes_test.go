package av

import (
	"fmt"
	"image"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
)

// source is where a point of a turned picture lies in the w x h one before: each
// quarter turn clockwise is undone, and the mirror, which came first, last.
func (l Look) source(x, y, w, h int) (int, int) {
	if l.Quarter&1 == 1 {
		w, h = h, w
	}
	for range l.Quarter {
		x, y, w, h = y, w-1-x, h, w
	}
	if l.Mirror {
		x = w - 1 - x
	}
	return x, y
}

// Turned and mirrored pictures, on the screen and in films, are the upright ones
// with every point at its place.
func TestPicturesTurn(t *testing.T) {
	p, upright := firstPicture(t, shared("a35a_bt709.mp4"))
	upright.Width, upright.Height = 212, 118 // no whole blocks
	view := NewView()
	defer view.Close()
	want, err := view.RGBA(p, upright)
	require.NoError(t, err)
	luma := lumaOf(t, p, upright)
	for quarter := range 4 {
		for _, mirror := range []bool{false, true} {
			t.Run(fmt.Sprint(quarter, mirror), func(t *testing.T) {
				l := upright
				l.Quarter, l.Mirror = quarter, mirror
				if quarter&1 == 1 {
					l.Width, l.Height = l.Height, l.Width
				}
				got, err := view.RGBA(p, l)
				require.NoError(t, err)
				film := lumaOf(t, p, l)
				for y := range l.Height {
					for x := range l.Width {
						sx, sy := l.source(x, y, upright.Width, upright.Height)
						require.Equal(t, want.RGBAAt(sx, sy), got.RGBAAt(x, y), "%d,%d", x, y)
						require.Equal(t, luma.GrayAt(sx, sy), film.GrayAt(x, y), "%d,%d in a film", x, y)
					}
				}
			})
		}
	}
}

// lumaOf is the luma of a picture as a film of its size takes it.
func lumaOf(t *testing.T, p *Picture, l Look) *image.Gray {
	f, err := NewFitter(l.Width, l.Height, 0)
	require.NoError(t, err)
	defer f.Close()
	c, err := f.Fit(p, l)
	require.NoError(t, err)
	defer c.Close()
	n, img := c.native(), image.NewGray(image.Rect(0, 0, l.Width, l.Height))
	for y := range l.Height {
		copy(img.Pix[y*img.Stride:], unsafe.Slice((*byte)(unsafe.Add(unsafe.Pointer(n.data[0]), y*int(n.linesize[0]))), l.Width))
	}
	return img
}
