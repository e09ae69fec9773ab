package body_test

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/desk/body"
	"strokeledger/internal/pose"
)

// seen are people who stand in the same parts of every picture, the near one first.
type seen []image.Rectangle

func (s seen) People(*image.RGBA) (all []pose.Person) {
	for _, r := range s {
		p := pose.Person{Score: 1}
		for i := range p.Joints { // along the diagonal, the nose at the top in the middle
			part := float64(i) / (pose.Places - 1)
			p.Joints[i] = pose.Joint{X: float64(r.Min.X) + part*float64(r.Dx()), Y: float64(r.Min.Y) + part*float64(r.Dy()), Visibility: 1}
		}
		p.Joints[pose.Nose].X = float64(r.Min.X+r.Max.X) / 2
		p.Joints[pose.LeftEye].X = float64(r.Min.X)
		all = append(all, p)
	}
	return all
}

// checkered is a picture in which no two neighbours are alike.
func checkered(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(255 * ((x + y) % 2)), uint8(x), uint8(y), 255})
		}
	}
	return img
}

func TestPortrait(t *testing.T) {
	img := checkered(640, 360)
	player, other := image.Rect(200, 120, 280, 320), image.Rect(290, 80, 320, 170)
	cut, at, ok := body.Portrait(seen{player, other}, img)
	require.True(t, ok)
	require.True(t, player.In(at), "the whole player")
	require.True(t, at.In(img.Rect))
	require.Less(t, at.Dx(), 300, "and little else: %v", at)
	for y := player.Min.Y; y < player.Max.Y; y++ {
		for x := player.Min.X; x < player.Max.X; x++ {
			require.Equal(t, img.RGBAAt(x, y), cut.RGBAAt(x, y), "the player is as filmed, at %d, %d", x, y)
		}
	}
	alike := 0
	for y := other.Min.Y; y < other.Max.Y; y++ {
		for x := other.Min.X; x < other.Max.X; x++ {
			if cut.RGBAAt(x, y) == img.RGBAAt(x, y) {
				alike++
			}
		}
	}
	require.Zero(t, alike, "nothing of the other one")
	require.Equal(t, checkered(640, 360).Pix, img.Pix, "the picture itself is not changed")
}

func TestFaceless(t *testing.T) {
	img := checkered(640, 360)
	player := image.Rect(200, 120, 280, 320)
	who := seen{player}
	head := image.Rectangle{}
	for _, j := range who.People(nil)[0].Joints[:pose.LeftShoulder] {
		head = head.Union(image.Rect(int(j.X), int(j.Y), int(j.X)+1, int(j.Y)+1))
	}
	cut, at, ok := body.Faceless(who, img)
	require.True(t, ok)
	alike, same := 0, 0
	for y := at.Min.Y; y < at.Max.Y; y++ {
		for x := at.Min.X; x < at.Max.X; x++ {
			switch is := cut.RGBAAt(x, y) == img.RGBAAt(x, y); {
			case image.Pt(x, y).In(head) && is:
				alike++
			case y > player.Min.Y+player.Dy()/2 && is:
				same++
			}
		}
	}
	require.Zero(t, alike, "nothing of the face")
	require.Equal(t, at.Dx()*(at.Max.Y-player.Min.Y-player.Dy()/2-1), same, "and all of the stroke")
}

func TestNoPortrait(t *testing.T) {
	img := checkered(640, 360)
	for why, people := range map[string]seen{
		"nobody":                                nil,
		"half of the player is not filmed":      {image.Rect(-60, 120, 60, 320)},
		"another head before the player's body": {image.Rect(200, 120, 280, 320), image.Rect(230, 150, 260, 260)},
	} {
		_, _, ok := body.Portrait(people, img)
		require.False(t, ok, why)
	}
	cut, _, ok := body.Portrait(seen{image.Rect(300, 40, 1500, 2000)}, checkered(2000, 2100))
	require.True(t, ok)
	require.Equal(t, 720, cut.Rect.Dx(), "no larger than a page needs")
}
