package body_test

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/desk/body"
	"strokeledger/internal/picture"
	"strokeledger/internal/pose"
)

// walking is a player who is in another place in each picture; the empty one is nowhere.
type walking []image.Rectangle

func (w *walking) Next(img *image.RGBA) (p pose.Person, ok bool) {
	at := (*w)[0]
	*w = (*w)[1:]
	if at.Empty() {
		return p, false
	}
	return seen{at}.People(img)[0], true
}

// cut is the part of pictures of 640 x 360 that holds a player in some places.
func cut(drawings []picture.Drawing, places ...image.Rectangle) (image.Rectangle, bool) {
	w := walking(places)
	c := body.NewCutout(&w)
	for range places {
		c.Look(image.NewRGBA(image.Rect(0, 0, 640, 360)))
	}
	return c.Part(drawings)
}

func TestCutoutHoldsThePlayerAllTheTime(t *testing.T) {
	here, there := image.Rect(301, 151, 340, 252), image.Rect(440, 140, 481, 240)
	part, ok := cut(nil, here, image.Rectangle{}, there)
	require.True(t, ok, "lost in one picture of three")
	room := image.Rect(301-25, 140-15, 481+25, 252+15) // a quarter and a seventh of the height
	require.True(t, room.In(part), "%v", part)
	require.Equal(t, part.Dx(), part.Dy(), "a square")
	require.Less(t, part.Dx(), 260, "and little else")
	for _, v := range []int{part.Min.X, part.Min.Y, part.Dx(), part.Dy()} {
		require.Zero(t, v%2, "nothing is lost at the edges: %v", part)
	}

	// What the coach has drawn is in it as well, as far as it is in the picture.
	arrow, ok := cut([]picture.Drawing{{Kind: picture.Arrow, Places: []picture.Point{{X: .1, Y: .5}, {X: .5, Y: .5}}}}, here, there)
	require.True(t, ok)
	require.True(t, image.Rect(64, 179, 320, 181).In(arrow), "%v", arrow)
	circle, ok := cut([]picture.Drawing{{Kind: picture.Circle, Places: []picture.Point{{X: .9, Y: .5}, {X: .8, Y: .5}}}}, here, there)
	require.True(t, ok)
	require.True(t, image.Rect(512, 116, 640, 244).In(circle), "%v", circle)

	// A player at the edge, or as large as the picture, or who goes through all of it.
	for _, places := range [][]image.Rectangle{
		{image.Rect(-20, 200, 40, 380)}, {image.Rect(10, 5, 630, 355)}, {image.Rect(20, 100, 60, 200), image.Rect(590, 100, 630, 200)},
	} {
		part, ok := cut(nil, places...)
		require.True(t, ok)
		require.True(t, part.In(image.Rect(0, 0, 640, 360)), "%v", part)
		for _, p := range places {
			require.True(t, p.Intersect(image.Rect(0, 0, 640, 360)).In(part), "%v in %v", p, part)
		}
	}
}

func TestNoCutout(t *testing.T) {
	nowhere := image.Rectangle{}
	for why, places := range map[string][]image.Rectangle{
		"no picture":                         nil,
		"nobody":                             {nowhere, nowhere},
		"found in a third":                   {image.Rect(300, 150, 340, 250), nowhere, nowhere},
		"all of the player is not filmed":    {image.Rect(900, 150, 940, 250)},
		"what is found is above the picture": {image.Rect(300, -250, 340, -150)},
	} {
		_, ok := cut(nil, places...)
		require.False(t, ok, why)
	}
}
